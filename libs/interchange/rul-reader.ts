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
  for (const [i, line] of text.split(/\r\n|\r|\n/).entries()) {
    const rule = /^\s*RULE\s*:\s*(?:DELTA\s+)?(\S+)\s*$/i.exec(line);
    const key = /^\s*([A-Za-z/][A-Za-z0-9 /]*?)\s*:\s*(.*)$/.exec(line);
    if (rule !== null) raw.set(rule[1], (open = { line: i + 1, numbers: [] }));
    else if (/^\s*END\s*$/i.test(line)) break;
    else if (key !== null && open === undefined) header.set(key[1].toUpperCase(), key[2].trim());
    else if (open !== undefined)
      for (const word of line.split(/[\s,]+/).filter((each) => each !== '')) {
        const value = Number(word);
        if (Number.isFinite(value)) open.numbers.push(value);
        else
          say({
            code: 'RUL_NOT_A_NUMBER',
            line: i + 1,
            found: quoted(word),
            allowed: 'a number',
            message: `Line ${i + 1} of the grade rule table has ${quoted(word)} for a number.`,
          });
      }
  }
  return { table: tableOf(header, raw, say), problems };
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
  const mm = units === 'english' ? 25.4 : 1;
  const rules = new Map<string, Point[]>();
  for (const [name, { line, numbers }] of raw) {
    if (numbers.length !== 2 * sizes.length) {
      const found = `${numbers.length} numbers`;
      say({
        code: 'RUL_RULE',
        line,
        found,
        allowed: `${2 * sizes.length}: x and y for each size`,
        message: `Rule ${name} has ${found} for ${sizes.length} sizes; it was left out.`,
      });
      continue;
    }
    rules.set(
      name,
      sizes.map((_, i) => ({ x: mm * numbers[2 * i], y: mm * numbers[2 * i + 1] })),
    );
  }
  return {
    name: header.get('GRADE RULE TABLE') ?? '',
    units,
    sizes,
    sampleSize: header.get('SAMPLE SIZE') ?? '',
    rules,
  };
}
