import type { Point } from '#geometry';
import { quoted } from './dxf-log.js';
import type { DxfProblem, DxfUnits } from './foreign-pattern.js';

/** The grade rules of one style. */
export interface GradeRuleTable {
  readonly name: string;
  readonly units: DxfUnits;
  /** From small to large. */
  readonly sizes: readonly string[];
  readonly sampleSize: string;
  /** By the rule's number: how far its points move for each size, in mm, in the order of `sizes`. */
  readonly rules: ReadonlyMap<string, readonly Point[]>;
}

export interface RulReading {
  readonly table: GradeRuleTable | undefined;
  readonly problems: readonly DxfProblem[];
}

const CHARACTERS_MAX = 4 * 1024 * 1024;
const SIZES_MAX = 60;
const PROBLEMS_MAX = 20;

/**
 * The grade rule table (.RUL) that travels beside a DXF.
 *
 * Shape   header lines `KEY: value` in any order, then `RULE: DELTA n` with one pair of numbers for each size, separated
 *         by commas or blanks and broken over lines as it happens, then END.
 * Units   millimetres, whatever the table is in; how far from the sample size.
 * Edges   every problem is said at once, up to a limit; a rule that cannot be right is left out, and said. Without sizes
 *         or a unit there is no table.
 * Source  ASTM D6673-10, read in secondary sources.
 */
export function readRul(text: string): RulReading {
  const problems: DxfProblem[] = [];
  const say = (problem: Omit<DxfProblem, 'action'>, action = 'Write the table again.'): void => {
    if (problems.length < PROBLEMS_MAX) problems.push({ ...problem, action });
  };
  if (text.length > CHARACTERS_MAX) {
    const found = `${text.length} characters`;
    say({
      code: 'RUL_TOO_LARGE',
      line: 0,
      found,
      allowed: `at most ${CHARACTERS_MAX}`,
      message: `The grade rule table has ${found}.`,
    });
    return { table: undefined, problems };
  }
  const header = new Map<string, string>();
  const raw = new Map<string, { line: number; numbers: number[] }>();
  let open: { line: number; numbers: number[] } | undefined;
  let isEnded = false;
  for (const [i, full] of text.split(/\r\n|\r|\n/).entries()) {
    const line = full.trim();
    if (/^end$/i.test(line)) {
      isEnded = true;
      break;
    }
    const { key, value } = keyed(line);
    if (key === 'RULE') {
      const name = value.replace(/^delta\s+/i, '');
      if (raw.has(name)) say(doubled(i + 1, name));
      // Of two by one name neither is known to be right; the first stays.
      open = { line: i + 1, numbers: [] };
      if (!raw.has(name)) raw.set(name, open);
    } else if (key !== undefined && open === undefined) header.set(key, value);
    else if (open !== undefined)
      for (const word of line.split(/[\s,]+/).filter((each) => each !== '')) {
        const number = Number(word);
        if (Number.isFinite(number) && Math.abs(number) <= MOVE_MAX) open.numbers.push(number);
        else say(noNumber(i + 1, word));
      }
  }
  if (!isEnded) say(cutOff());
  return { table: tableOf(header, raw, say), problems };
}

/** A grade rule moves a point by millimetres or inches, never by more than this. */
const MOVE_MAX = 10_000;

/** What stands before the first colon, in capitals, and what stands behind it. */
function keyed(line: string): { readonly key: string | undefined; readonly value: string } {
  const colon = line.indexOf(':');
  const key = line.slice(0, Math.max(0, colon)).trim().toUpperCase();
  return { key: key === '' ? undefined : key, value: line.slice(colon + 1).trim() };
}

function doubled(line: number, name: string): Omit<DxfProblem, 'action'> {
  return {
    code: 'RUL_RULE_TWICE',
    line,
    found: `rule ${quoted(name)} again`,
    allowed: 'each rule once',
    message: `Line ${line} of the grade rule table begins rule ${quoted(name)} a second time; the first was kept.`,
  };
}

function noNumber(line: number, word: string): Omit<DxfProblem, 'action'> {
  return {
    code: 'RUL_NOT_A_NUMBER',
    line,
    found: quoted(word),
    allowed: `a number between -${MOVE_MAX} and ${MOVE_MAX}`,
    message: `Line ${line} of the grade rule table has ${quoted(word)} for a number.`,
  };
}

function cutOff(): Omit<DxfProblem, 'action'> {
  return {
    code: 'RUL_CUT_OFF',
    line: 0,
    found: 'no END',
    allowed: 'a table that ends with END',
    message: 'The grade rule table does not end with END: it may be cut off.',
  };
}

function tableOf(
  header: ReadonlyMap<string, string>,
  raw: ReadonlyMap<string, { readonly line: number; readonly numbers: readonly number[] }>,
  say: (problem: Omit<DxfProblem, 'action'>, action?: string) => void,
): GradeRuleTable | undefined {
  const sizes = (header.get('SIZE LIST') ?? '').split(/\s+/).filter((size) => size !== '');
  const units = { METRIC: 'metric', ENGLISH: 'english' }[(header.get('UNITS') ?? '').toUpperCase()] as
    DxfUnits | undefined;
  if (sizes.length === 0 || sizes.length > SIZES_MAX)
    say({
      code: 'RUL_SIZES',
      line: 0,
      found: `${sizes.length} sizes`,
      allowed: `SIZE LIST with 1 to ${SIZES_MAX} sizes`,
      message: 'The grade rule table has no usable SIZE LIST.',
    });
  if (units === undefined)
    say({
      code: 'RUL_UNITS',
      line: 0,
      found: quoted(header.get('UNITS') ?? ''),
      allowed: 'METRIC or ENGLISH',
      message: 'The grade rule table does not say its unit.',
    });
  if (sizes.length === 0 || sizes.length > SIZES_MAX || units === undefined) return undefined;
  const sampleSize = header.get('SAMPLE SIZE') ?? '';
  if (sampleSize !== '' && !sizes.includes(sampleSize))
    say({
      code: 'RUL_SAMPLE_SIZE',
      line: 0,
      found: quoted(sampleSize),
      allowed: 'one of SIZE LIST',
      message: `The sample size ${quoted(sampleSize)} of the grade rule table is not in its SIZE LIST.`,
    });
  const said = header.get('NUMBER OF SIZES');
  if (said !== undefined && Number(said) !== sizes.length)
    say({
      code: 'RUL_SIZE_COUNT',
      line: 0,
      found: quoted(said),
      allowed: `${sizes.length}, as many as SIZE LIST names`,
      message: `The grade rule table says ${quoted(said)} sizes and lists ${sizes.length}.`,
    });
  return {
    name: header.get('GRADE RULE TABLE') ?? '',
    units,
    sizes,
    sampleSize,
    rules: rulesOf(raw, sizes.length, units, say),
  };
}

/** Rules with a move for each size, in mm; the others are said and left out. */
function rulesOf(
  raw: ReadonlyMap<string, { readonly line: number; readonly numbers: readonly number[] }>,
  sizes: number,
  units: DxfUnits,
  say: (problem: Omit<DxfProblem, 'action'>, action?: string) => void,
): Map<string, Point[]> {
  const mm = units === 'english' ? 25.4 : 1;
  const rules = new Map<string, Point[]>();
  for (const [name, { line, numbers }] of raw) {
    if (numbers.length !== 2 * sizes) {
      const found = `${numbers.length} numbers`;
      say({
        code: 'RUL_RULE',
        line,
        found,
        allowed: `${2 * sizes}: x and y for each size`,
        message: `Rule ${name} has ${found} for ${sizes} sizes; it was left out.`,
      });
      continue;
    }
    rules.set(
      name,
      Array.from({ length: sizes }, (_, i) => ({ x: mm * numbers[2 * i], y: mm * numbers[2 * i + 1] })),
    );
  }
  return rules;
}
