import { FINDING_CODES, type ToleranceOrigins } from '#checking';
import type { JudgingRules, RuleLevel } from '#judging';
import { nearestName } from '#spelling';
import type { Json } from './canonical-json.js';
import { CHECK_TOLERANCES } from './check-request.js';
import { CODE, isCodeLike } from './code-word.js';
import { DATE, field, fields, line, list, oneOf, wrongType, type Read } from './field.js';
import { issuesToProblems, toProblem, valueOf } from './issues-to-problems.js';
import { limitProblems } from './json-limits.js';
import { atMost, foundInWords, type Parsed, type Problem } from './problem.js';

/** The profile that every check of a shop is held to, under the one it names. */
export const SHOP_PROFILE = 'shop';

const IGNORED_MAX = 200;
const WORD_LENGTH_MAX = 64;
const REASON_LENGTH_MAX = 200;

const LEVELS = ['info', 'warning', 'stop'] as const satisfies readonly RuleLevel[];

export const PROFILE_NAME_PATTERN = /^[a-z0-9][a-z0-9-]{0,63}$/;
export const PROFILE_NAME_FORM = '1 to 64 small letters, digits and dashes';

const TRUTH = field(
  { form: 'true or false' },
  (found): Read<boolean> =>
    typeof found === 'boolean' ? { value: found } : { fault: wrongType(found, { form: 'true or false' }) },
  { type: 'boolean', description: 'As it was answered; it is not read.' },
);

/** What a shop, or one of its customers, holds patterns to. */
export const RULES_PROFILE_REQUEST = fields({
  tolerances: CHECK_TOLERANCES.optional(),
  severities: list(fields({ code: CODE, level: oneOf(LEVELS) }), IGNORED_MAX).optional(),
  ignore: list(
    fields({
      code: CODE,
      piece: line(WORD_LENGTH_MAX).optional(),
      part: line(WORD_LENGTH_MAX).optional(),
      until: DATE,
      reason: line(REASON_LENGTH_MAX),
      // So that a list which was answered can be sent back.
      hasEnded: TRUTH.optional(),
    }),
    IGNORED_MAX,
  ).optional(),
}).meta({ id: 'RulesProfileRequest' });

/** A profile as it is kept: as it was sent, with nothing that could not be read. */
export interface RulesContent {
  readonly tolerances: Readonly<Record<string, Json>>;
  readonly severities: JudgingRules['severities'];
  readonly ignore: JudgingRules['ignore'];
}

/** A profile that is sent. Every problem at once, codes that no check gives among them. */
export function readRulesProfile(json: unknown): Parsed<RulesContent> {
  const lists = ['severities', 'ignore'] as const;
  return readRules(
    json,
    lists.flatMap((name) => codeProblems(name, valueOf(json, name))),
  );
}

/** Rules that were accepted once, perhaps by an earlier release: a code that is no longer given matches nothing. */
export function readStoredRules(json: unknown): Parsed<RulesContent> {
  return readRules(json, []);
}

function readRules(json: unknown, codes: readonly Problem[]): Parsed<RulesContent> {
  const limits = limitProblems(json);
  if (limits.length > 0) return { ok: false, problems: atMost(limits) };
  const parsed = RULES_PROFILE_REQUEST.safeParse(json);
  const problems = [
    ...(parsed.success ? [] : issuesToProblems(parsed.error.issues, json)),
    ...severityProblems(valueOf(json, 'severities')),
    ...codes,
  ];
  if (!parsed.success || problems.length > 0) return { ok: false, problems: atMost(problems) };
  const { severities = [], ignore = [] } = parsed.data;
  const tolerances = (valueOf(json, 'tolerances') ?? {}) as RulesContent['tolerances'];
  const kept = ignore.map(({ hasEnded: _, ...entry }) => entry);
  return {
    ok: true,
    value: { tolerances, severities, ignore: plain(kept) as JudgingRules['ignore'] },
  };
}

/** A code with a slip in it would never match, and nobody would hear of it. */
function codeProblems(name: 'severities' | 'ignore', entries: unknown): Problem[] {
  if (!Array.isArray(entries)) return [];
  return entries.slice(0, IGNORED_MAX).flatMap((entry: unknown, i) => {
    const code = valueOf(entry, 'code');
    if (typeof code !== 'string' || !isCodeLike(code) || Object.hasOwn(FINDING_CODES, code)) return [];
    const near = nearestName(code, Object.keys(FINDING_CODES));
    return [
      toProblem([name, i, 'code'], code, {
        code: 'NOT_ALLOWED',
        allowed: { form: 'a code that a check gives, as docs/checking.md lists them' },
        says: `is ${foundInWords(code)}, which no check gives`,
        action: near === undefined ? 'Take one of the list in docs/checking.md.' : `Did you mean "${near}"?`,
      }),
    ];
  });
}

/** What is said twice of one code would be followed once: which one, nobody could tell. */
function severityProblems(severities: unknown): Problem[] {
  if (!Array.isArray(severities)) return [];
  const codes = severities.map((entry) => valueOf(entry, 'code'));
  return codes.flatMap((code, i) => {
    const first = codes.indexOf(code);
    if (typeof code !== 'string' || first === i) return [];
    return [
      toProblem(['severities', i, 'code'], code, {
        code: 'CONFLICT',
        allowed: { form: 'each code once' },
        says: `is ${foundInWords(code)}, which severities[${first}] has already`,
        action: 'Take one of them out.',
      }),
    ];
  });
}

export function isProfileName(text: string): boolean {
  return PROFILE_NAME_PATTERN.test(text);
}

/** Rules one over the other, the later one closer to the pattern: its tolerances and severities win, what it ignores is added. */
export function layeredRules(layers: readonly RulesContent[]): RulesContent {
  const severities = new Map(
    layers.flatMap((layer) => layer.severities.map(({ code, level }) => [code, level])),
  );
  return {
    tolerances: Object.assign(
      {},
      ...layers.map(({ tolerances }) => tolerances),
    ) as RulesContent['tolerances'],
    severities: [...severities].map(([code, level]) => ({ code, level })),
    ignore: layers.flatMap(({ ignore }) => ignore),
  };
}

/** Which profile a tolerance comes from, in the words of a finding; the later one wins, as its tolerance does. */
export function originsOf(
  layers: readonly { readonly name: string; readonly content: RulesContent }[],
): ToleranceOrigins {
  return Object.fromEntries(
    layers.flatMap(({ name, content }) =>
      Object.keys(content.tolerances).map((tolerance) => [tolerance, `as the profile ${name} says`]),
    ),
  );
}

/** Optional fields that are there and undefined, as zod leaves them, are not the same as fields that are not there. */
function plain<T>(value: T): T {
  return JSON.parse(JSON.stringify(value)) as T;
}
