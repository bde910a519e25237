import type { CheckSettings, ToleranceOrigins } from '#checking';
import type { JudgingRules } from '#judging';
import { z } from 'zod';
import { canonicalJson, type Json } from './canonical-json.js';
import {
  CHECK_SETTINGS,
  AS_THE_REQUEST,
  kindProblems,
  readStoredSettings,
  SEAM_PAIR,
  SEAMS_MAX,
} from './check-request.js';
import { CORRECTION, word } from './code-word.js';
import { DATE, field, fields, line, list, oneOf, wrongType, type Read } from './field.js';
import { BLOCK, readBlock, type GivenBlock } from './given-block.js';
import { issuesToProblems, toProblem, valueOf } from './issues-to-problems.js';
import { limitProblems } from './json-limits.js';
import { atMost, type Parsed, type Problem } from './problem.js';
import {
  PROFILE_NAME_FORM,
  PROFILE_NAME_PATTERN,
  readStoredRules,
  type RulesContent,
} from './rules-profile.js';

/** What is drawn beside the report. */
export const CHECK_OUTPUTS = ['svg', 'pdf'] as const;
export type CheckOutput = (typeof CHECK_OUTPUTS)[number];

const CODES_MAX = 50;
const NAME_LENGTH_MAX = 100;
const WORD_LENGTH_MAX = 64;

const PROFILE_NAME = word(PROFILE_NAME_FORM, PROFILE_NAME_PATTERN);

/** DXF as text. How long it may be is for the door to say, which has to read it first. */
const DXF = field(
  { form: 'the text of a DXF file' },
  (found): Read<string> =>
    typeof found === 'string' && found.trim() !== ''
      ? { value: found }
      : { fault: wrongType(found, { form: 'the text of a DXF file' }) },
  { type: 'string', minLength: 1, description: 'The text of a DXF file by ASTM D6673 or AAMA.' },
);

const GRADE_RULES_LENGTH_MAX = 256 * 1024;

/** A grade rule table is kept in the database, which takes no text with characters that stand for nothing. */
const GRADE_RULES = (() => {
  const allowed = {
    form: `the text of a grade rule table (.RUL), at most ${GRADE_RULES_LENGTH_MAX} characters`,
  };
  return field(
    allowed,
    (found): Read<string> => {
      if (typeof found !== 'string' || found.trim() === '' || /(?![\t\r\n\f])\p{Cc}|\p{Cs}/u.test(found))
        return { fault: wrongType(found, allowed) };
      if (found.length <= GRADE_RULES_LENGTH_MAX) return { value: found };
      const says = `has ${found.length} characters, above ${GRADE_RULES_LENGTH_MAX}`;
      return { fault: { code: 'TEXT_TOO_LONG', allowed, says, action: 'Send the rules of one style only.' } };
    },
    {
      type: 'string',
      minLength: 1,
      maxLength: GRADE_RULES_LENGTH_MAX,
      description:
        'The text of the grade rule table (.RUL) by ASTM D6673 that goes with the DXF. It is compared with it, and settings.size may name any of its sizes.',
    },
  );
})();

const BESIDE_THE_PATTERN = {
  name: line(NAME_LENGTH_MAX).optional(),
  settings: CHECK_SETTINGS.optional(),
  seamPairs: list(SEAM_PAIR, SEAMS_MAX).optional(),
  gradeRules: GRADE_RULES.optional(),
  profile: PROFILE_NAME.optional(),
  correct: list(CORRECTION, CODES_MAX).optional(),
  outputs: list(oneOf(CHECK_OUTPUTS), CHECK_OUTPUTS.length).optional(),
  reference: line(WORD_LENGTH_MAX).optional(),
  styleId: line(WORD_LENGTH_MAX).optional(),
  versionId: line(WORD_LENGTH_MAX).optional(),
  dated: DATE.optional(),
};

/** A pattern and what it is to be held to, as JSON. */
export const CHECK_ORDER = fields({
  dxf: DXF.optional(),
  block: BLOCK.optional(),
  ...BESIDE_THE_PATTERN,
}).meta({
  id: 'CheckRequest',
});

/** The file is read on its way to the store; here it only has a name, so that it is among those that are known. */
const FILE = field({ form: 'a file' }, (found): Read<never> => ({
  fault: wrongType(found, { form: 'a file' }),
}));
const UPLOAD_ORDER = fields({ file: FILE.optional(), ...BESIDE_THE_PATTERN });

/** The same as a form with a file, for the published description: what is JSON above is JSON in a part of its own. */
export const CHECK_UPLOAD = z
  .strictObject({
    file: z.string().meta({ format: 'binary', description: 'The DXF file.' }),
    settings: CHECK_SETTINGS.optional(),
    seamPairs: z.array(SEAM_PAIR).optional(),
    correct: z.array(CORRECTION).optional(),
    outputs: z.array(z.enum(CHECK_OUTPUTS)).optional(),
    gradeRules: GRADE_RULES.optional(),
    ...Object.fromEntries(
      ['name', 'profile', 'reference', 'styleId', 'versionId', 'dated'].map((part) => [
        part,
        z.string().optional(),
      ]),
    ),
  })
  .meta({ id: 'CheckUpload' });

/** Parts of a form that hold JSON; the others hold plain text. */
export const JSON_PARTS: ReadonlySet<string> = new Set(['settings', 'seamPairs', 'correct', 'outputs']);
export const UPLOAD_PARTS: readonly string[] = ['file', ...Object.keys(BESIDE_THE_PATTERN)];

export type CheckOrder = Omit<z.output<typeof CHECK_ORDER>, 'dxf' | 'block' | 'settings' | 'seamPairs'> & {
  /** As it was sent: it is stored, and read again by whoever checks. */
  readonly settings: Readonly<Record<string, Json>>;
  readonly pattern: { readonly dxf: string } | { readonly block: Json } | undefined;
};

/**
 * Read a request for a check. Every problem at once.
 *
 * `door` says how it came: as JSON, with the pattern in it, or as the parts beside a file.
 */
export function readCheckOrder(json: unknown, door: 'json' | 'upload'): Parsed<CheckOrder> {
  const limits = limitProblems(withoutLongTexts(json));
  if (limits.length > 0) return { ok: false, problems: atMost(limits) };
  const parsed = (door === 'json' ? CHECK_ORDER : UPLOAD_ORDER).safeParse(json);
  const problems = [
    ...(parsed.success ? [] : issuesToProblems(parsed.error.issues, json)),
    ...(door === 'json' ? patternProblems(json) : []),
    ...twiceProblems(json),
    ...kindProblems(valueOf(json, 'settings'), ['settings']),
  ];
  if (!parsed.success || problems.length > 0) return { ok: false, problems: atMost(problems) };
  const { settings: _, seamPairs: _pairs, ...order } = parsed.data;
  return { ok: true, value: { ...order, settings: settingsOf(json), pattern: patternOf(json) } };
}

/** A drawing and its rules are long texts, which no other field may be; how long they are was or will be looked at. */
function withoutLongTexts(json: unknown): unknown {
  if (!isObject(json)) return json;
  const short = ['dxf', 'gradeRules']
    .filter((name) => typeof json[name] === 'string')
    .map((name) => [name, '-']);
  return { ...json, ...Object.fromEntries(short) };
}

function isObject(json: unknown): json is Readonly<Record<string, unknown>> {
  return typeof json === 'object' && json !== null && !Array.isArray(json);
}

function patternOf(json: unknown): CheckOrder['pattern'] {
  const dxf = valueOf(json, 'dxf');
  if (typeof dxf === 'string') return { dxf };
  const block = valueOf(json, 'block');
  return block === undefined ? undefined : { block: block as Json };
}

/** Seam pairs may lie in a JSON of their own beside the file: they go where the settings have theirs. */
function settingsOf(json: unknown): Readonly<Record<string, Json>> {
  const settings = (valueOf(json, 'settings') ?? {}) as Readonly<Record<string, Json>>;
  const pairs = valueOf(json, 'seamPairs') as readonly Json[] | undefined;
  if (pairs === undefined) return settings;
  return { ...settings, seams: [...((settings['seams'] as readonly Json[] | undefined) ?? []), ...pairs] };
}

function patternProblems(json: unknown): Problem[] {
  if (!isObject(json)) return [];
  const { dxf, block, correct, gradeRules } = json;
  const problems: Problem[] = [];
  if ((dxf === undefined) === (block === undefined)) {
    const isBoth = dxf !== undefined;
    problems.push(
      toProblem(['dxf'], dxf, {
        code: isBoth ? 'CONFLICT' : 'MISSING',
        allowed: { form: 'either dxf or block' },
        says: isBoth
          ? 'stands beside block, and only one of the two can be meant'
          : 'is missing, and so is block',
        action: isBoth
          ? 'Take one of them out.'
          : 'Add the DXF as text, a block as JSON, or send the file as multipart/form-data.',
      }),
    );
  }
  if (block !== undefined && Array.isArray(correct) && correct.length > 0)
    problems.push(
      toProblem(['correct'], correct, {
        code: 'NOT_AVAILABLE',
        allowed: { form: 'corrections of a DXF' },
        says: 'asks for corrections of a block, which are not made here',
        action: 'Take it out, or send the pattern as DXF.',
      }),
    );
  if (block !== undefined && gradeRules !== undefined)
    problems.push(
      toProblem(['gradeRules'], gradeRules, {
        code: 'NOT_AVAILABLE',
        allowed: { form: 'the rules of a DXF' },
        says: 'goes with a DXF, and a block was sent',
        action: 'Take it out, or send the pattern as DXF.',
      }),
    );
  return problems;
}

function twiceProblems(json: unknown): Problem[] {
  const seams = valueOf(valueOf(json, 'settings'), 'seams');
  const pairs = valueOf(json, 'seamPairs');
  const count = (Array.isArray(seams) ? seams.length : 0) + (Array.isArray(pairs) ? pairs.length : 0);
  if (count <= SEAMS_MAX || !Array.isArray(pairs)) return [];
  const allowed = { form: `at most ${SEAMS_MAX} seam pairs, those of the settings among them` };
  return [
    toProblem(['seamPairs'], pairs, {
      code: 'TOO_MANY',
      allowed,
      says: `and settings.seams come to ${count}`,
      action: `Send ${allowed.form}.`,
    }),
  ];
}

/** Which profiles a check was held to. */
export interface PinnedProfile {
  readonly name: string;
  readonly version: number;
}

/** What a check is made from beside its file: enough to make it again, whatever becomes of the profiles. */
export interface CheckWork {
  readonly kind: 'dxf' | 'block';
  readonly name?: string;
  /** The sender's own words for it; they stand on the sheet. */
  readonly reference?: string;
  readonly styleId?: string;
  readonly versionId?: string;
  readonly settings: CheckSettings;
  /** As it was sent. */
  readonly gradeRules?: string;
  readonly correct: readonly string[];
  readonly outputs: readonly CheckOutput[];
  readonly dated?: string;
  readonly rules: JudgingRules;
  /** The day by which the ignore list is read. */
  readonly judgedOn: string;
  readonly profiles: readonly PinnedProfile[];
}

/** The JSON of a check as it is stored: the order with the rules written out. */
export function checkWorkJson(
  order: CheckOrder,
  {
    profiles,
    rules,
    origins = {},
    today,
  }: {
    readonly profiles: readonly PinnedProfile[];
    readonly rules: RulesContent;
    /** Which profile said each tolerance that stands in `rules`; the trade, where none is named. */
    readonly origins?: ToleranceOrigins;
    readonly today: string;
  },
): { readonly [key: string]: Json } {
  const { name, settings, gradeRules, correct = [], outputs = CHECK_OUTPUTS, dated, pattern } = order;
  const { reference, styleId, versionId } = order;
  const own = (settings['tolerances'] ?? {}) as RulesContent['tolerances'];
  const work = {
    kind: pattern !== undefined && 'block' in pattern ? 'block' : 'dxf',
    ...(name === undefined ? {} : { name }),
    ...(reference === undefined ? {} : { reference }),
    ...(styleId === undefined ? {} : { styleId }),
    ...(versionId === undefined ? {} : { versionId }),
    settings: { ...settings, tolerances: { ...rules.tolerances, ...own } },
    ...(gradeRules === undefined ? {} : { gradeRules }),
    correct: [...new Set(correct)],
    outputs: [...new Set(outputs)],
    ...(dated === undefined ? {} : { dated }),
    rules: { severities: rules.severities, ignore: rules.ignore },
    origins: { ...origins, ...Object.fromEntries(Object.keys(own).map((name) => [name, AS_THE_REQUEST])) },
    judgedOn: dated ?? today,
    profiles,
  };
  return JSON.parse(canonicalJson(work as unknown as Json)) as { readonly [key: string]: Json };
}

/** Read what `checkWorkJson` has written, perhaps in an earlier release. */
export function readCheckWork(json: unknown): Parsed<CheckWork> {
  const settings = readStoredSettings(valueOf(json, 'settings'));
  const rules = readStoredRules(valueOf(json, 'rules'));
  if (!settings.ok) return settings;
  if (!rules.ok) return rules;
  const { origins, ...rest } = json as Omit<CheckWork, 'settings' | 'rules'> & {
    readonly origins?: ToleranceOrigins;
  };
  const { severities, ignore } = rules.value;
  return {
    ok: true,
    value: {
      ...rest,
      settings: { ...settings.value, ...(origins === undefined ? {} : { origins }) },
      rules: { severities, ignore },
    },
  };
}

/** The block of a check that was sent as JSON, from the bytes of its file. */
export function readCheckedBlock(text: string): Parsed<GivenBlock> {
  return readBlock(JSON.parse(text) as unknown);
}

/** What the pattern as it came is called among the files of its check. */
export function originalName(kind: CheckWork['kind']): string {
  return kind === 'dxf' ? 'original.dxf' : 'original.json';
}
