import { scanJson, type JsonFault } from './json-scan.js';
import { atMost, pointerOf, type Parsed, type Problem } from './problem.js';

/** A request with a given block is some 50 kB; nothing that is a request comes near this. */
export const JSON_BYTES_MAX = 2 * 1024 * 1024;

/**
 * Read a JSON text, or say where it is not JSON.
 *
 * Shape      problems carry line and column, counted from 1; the pointer is to the value that holds the fault. A
 *            name that stands twice in one object is a problem too. A byte order mark in front is skipped.
 * Errors     values: TOO_LARGE, NOT_JSON, TOO_DEEP, DUPLICATE_FIELD.
 * Cost       two passes over at most JSON_BYTES_MAX characters.
 */
export function readJsonText(text: string): Parsed<unknown> {
  if (text.length > JSON_BYTES_MAX) return { ok: false, problems: [textTooLarge(text.length)] };
  const plain = text.startsWith('\uFEFF') ? text.slice(1) : text;
  const faults = scanJson(plain);
  if (faults.length > 0)
    return { ok: false, problems: atMost(faults.map((fault) => toProblem(plain, fault))) };
  return { ok: true, value: JSON.parse(plain) as unknown };
}

export function textTooLarge(bytes: number): Problem {
  return {
    pointer: '',
    code: 'TOO_LARGE',
    found: `${bytes} bytes`,
    allowed: { max: JSON_BYTES_MAX, unit: 'bytes' },
    message: `The text has ${bytes} bytes; at most ${JSON_BYTES_MAX} are read.`,
    action: 'Send one request at a time, and a block with fewer edges.',
  };
}

const CODES = {
  syntax: { code: 'NOT_JSON', form: 'JSON (RFC 8259)' },
  duplicate: { code: 'DUPLICATE_FIELD', form: 'each name once' },
  depth: { code: 'TOO_DEEP', form: 'a flat value' },
} as const;

function toProblem(text: string, { kind, offset, found, says, action, path }: JsonFault): Problem {
  const place = placeOf(text, offset);
  return {
    pointer: pointerOf(path),
    code: CODES[kind].code,
    found: `${found} at ${place}`,
    allowed: { form: CODES[kind].form },
    message: `At ${place} ${says}.`,
    action,
  };
}

function placeOf(text: string, offset: number): string {
  let line = 1;
  let lineStart = 0;
  for (let end = text.indexOf('\n'); end >= 0 && end < offset; end = text.indexOf('\n', lineStart)) {
    line += 1;
    lineStart = end + 1;
  }
  return `line ${line}, column ${offset - lineStart + 1}`;
}
