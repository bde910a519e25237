import type { DxfLog } from './dxf-log.js';
import { quoted } from './dxf-log.js';

/** One group of a DXF file: a code and its value. */
export interface Pair {
  readonly code: number;
  readonly value: string;
  /** Line of the value, counted from 1. */
  readonly line: number;
}

/**
 * The groups of an ASCII DXF file.
 *
 * Edges   line ends may be CR LF, LF or CR; a byte order mark and blank lines at the end are passed over. A line that
 *         should be a group code and is none ends the reading there: from then on codes and values cannot be told apart.
 */
export function pairsOf(text: string, log: DxfLog): Pair[] {
  const refused = refusal(text, log);
  if (refused) return [];
  const pairs: Pair[] = [];
  const lines = new LineReader(text, log.limits.lineCharacters);
  const { groups } = log.limits;
  for (;;) {
    const code = lines.next();
    if (code === undefined) return pairs;
    const codeLine = lines.line;
    const value = lines.next();
    if (value === undefined) {
      if (code.trim() !== '') log.problem(cutOff(codeLine, code));
      return pairs;
    }
    const number = groupCode(code);
    if (number === undefined || lines.tooLong || pairs.length >= groups) {
      log.problem(
        lines.tooLong
          ? longLine(lines.line, log)
          : number === undefined
            ? noCode(codeLine, code)
            : manyPairs(codeLine, groups),
      );
      return pairs;
    }
    // A comment.
    if (number !== 999)
      pairs.push({ code: number, value: number < 10 ? value : value.trim(), line: lines.line });
  }
}

function groupCode(text: string): number | undefined {
  const trimmed = text.trim();
  return /^-?\d{1,4}$/.test(trimmed) ? Number(trimmed) : undefined;
}

/** Splits a text into lines one by one, so that a file of one line costs no more than any other. */
class LineReader {
  line = 0;
  tooLong = false;
  private at: number;

  constructor(
    private readonly text: string,
    private readonly charactersMax: number,
  ) {
    this.at = text.charCodeAt(0) === 0xfeff ? 1 : 0;
  }

  next(): string | undefined {
    if (this.at >= this.text.length) return undefined;
    const start = this.at;
    let end = start;
    while (end < this.text.length) {
      const code = this.text.charCodeAt(end);
      if (code === 10 || code === 13) break;
      end += 1;
    }
    this.at = end + (this.text.charCodeAt(end) === 13 && this.text.charCodeAt(end + 1) === 10 ? 2 : 1);
    this.line += 1;
    if (end - start > this.charactersMax) this.tooLong = true;
    return this.text.slice(start, Math.min(end, start + this.charactersMax));
  }
}

function refusal(text: string, log: DxfLog): boolean {
  const { characters } = log.limits;
  if (text.length > characters) {
    log.problem({
      code: 'DXF_TOO_LARGE',
      line: 0,
      found: `${text.length} characters`,
      allowed: `at most ${characters} characters`,
      message: `The file is ${(text.length / 1048576).toFixed(1)} million characters long; ${(characters / 1048576).toFixed(0)} are read.`,
      action: 'Send one style a file, in one size or in a few.',
    });
    return true;
  }
  const start = text.slice(0, 64);
  const kind = start.startsWith('AutoCAD Binary DXF')
    ? 'a binary DXF'
    : start.startsWith('PK')
      ? 'a zip archive'
      : /^AC10\d\d/.test(start)
        ? 'a DWG'
        : text.trim() === ''
          ? 'an empty file'
          : undefined;
  if (kind === undefined) return false;
  log.problem({
    code: 'DXF_NOT_ASCII',
    line: 1,
    found: kind,
    allowed: 'an ASCII DXF, release 12 or later',
    message: `This is ${kind}.`,
    action: 'Write the pattern as ASCII DXF (ASTM D6673 or AAMA).',
  });
  return true;
}

const REST = 'What follows cannot be told apart into codes and values, and was not read.';

function noCode(line: number, found: string) {
  return {
    code: 'DXF_BROKEN_GROUP',
    line,
    found: quoted(found),
    allowed: 'a group code: a whole number',
    message: `Line ${line} should be a group code and is ${quoted(found)}. ${REST}`,
    action: 'Look for a line that was lost or added before it.',
  };
}

function cutOff(line: number, found: string) {
  return {
    code: 'DXF_CUT_OFF',
    line,
    found: `the code ${quoted(found)} without a value`,
    allowed: 'codes and values in turn, to EOF',
    message: `The file ends at line ${line} in the middle of a group.`,
    action: 'Send the whole file.',
  };
}

function longLine(line: number, log: DxfLog) {
  return {
    code: 'DXF_LONG_LINE',
    line,
    found: `a line of more than ${log.limits.lineCharacters} characters`,
    allowed: `at most ${log.limits.lineCharacters} characters a line`,
    message: `Line ${line} is longer than ${log.limits.lineCharacters} characters. ${REST}`,
    action: 'Write one code or one value a line.',
  };
}

function manyPairs(line: number, most: number) {
  return {
    code: 'DXF_TOO_MANY_GROUPS',
    line,
    found: `more than ${most} groups`,
    allowed: `at most ${most} groups`,
    message: `The file has more than ${most} groups. The rest was not read.`,
    action: 'Send one style a file.',
  };
}
