import type { CheckFinding } from '#checking';
import { bySeriousness } from '#pattern';

export type RuleLevel = CheckFinding['level'];

/** What one shop or customer says of findings: plain data, pinned in a check so that it can be made again. */
export interface JudgingRules {
  /** How serious a finding is to them; by its code, once each. */
  readonly severities: readonly { readonly code: string; readonly level: RuleLevel }[];
  readonly ignore: readonly IgnoredFinding[];
}

/** A finding that is known and accepted for a while: of this code, and of this piece and part where they are said. */
export interface IgnoredFinding {
  readonly code: string;
  /** The piece by its block in the file, or what it is, such as `front`. */
  readonly piece?: string;
  readonly part?: string;
  /** Last day on which it is ignored, as YYYY-MM-DD. */
  readonly until: string;
  readonly reason: string;
}

/** Why a finding has another level than its check gave it. */
export interface FindingRule {
  readonly by: 'severity' | 'ignored';
  /** The level it had. */
  readonly was: RuleLevel;
  readonly until?: string;
  readonly reason?: string;
}

export interface JudgedFinding extends CheckFinding {
  readonly rule: FindingRule | null;
}

/** As much of a report as rules need: the findings, and which piece is what. */
export interface Judgeable {
  readonly findings: readonly CheckFinding[];
  readonly pieces: readonly { readonly piece: string; readonly kind: string }[];
}

export type Judged<Report extends Judgeable> = Omit<Report, 'findings' | 'sewable'> & {
  readonly findings: readonly JudgedFinding[];
  readonly sewable: boolean;
};

/** What an ignored finding weighs: it is told, and decides nothing. */
const IGNORED_LEVEL: RuleLevel = 'info';

/**
 * A report as a shop's or a customer's rules see it.
 *
 * Shape   the same findings, stops first again and numbered anew: whatever is drawn or told of the report goes by these
 *         numbers. Where a rule gave one another level, `rule` says which it had and why. Nothing is left out. An ignored finding weighs as information. An entry of
 *         the ignore list whose day is over ignores nothing, and says so in a finding of its own (IGNORE_OVER) as long
 *         as what it ignored is still there.
 * Edges   `onDay` is the day of the request, not that of the reading: the same request is judged alike for ever. The
 *         last day is one of those on which it is ignored.
 * Source  our choice.
 */
export function applyRules<Report extends Judgeable>(
  report: Report,
  rules: JudgingRules,
  onDay: string,
): Judged<Report> {
  const judged = report.findings.map((finding) => judgedFinding(finding, report, rules, onDay));
  const over = rules.ignore.filter(
    (entry) => entry.until < onDay && report.findings.some((finding) => isMeant(entry, finding, report)),
  );
  const findings = bySeriousness([...judged, ...over.map(ignoreOver)]).map((finding, i) => ({
    ...finding,
    number: i + 1,
  }));
  return { ...report, findings, sewable: findings.every(({ level }) => level !== 'stop') };
}

function judgedFinding(
  finding: CheckFinding,
  report: Judgeable,
  { severities, ignore }: JudgingRules,
  onDay: string,
): JudgedFinding {
  const { level: was } = finding;
  const ignored = ignore.find((entry) => entry.until >= onDay && isMeant(entry, finding, report));
  if (ignored !== undefined) {
    const { until, reason } = ignored;
    return { ...finding, level: IGNORED_LEVEL, rule: { by: 'ignored', was, until, reason } };
  }
  const severity = severities.find(({ code }) => code === finding.code);
  if (severity === undefined || severity.level === was) return { ...finding, rule: null };
  return { ...finding, level: severity.level, rule: { by: 'severity', was } };
}

function isMeant(
  { code, piece, part }: IgnoredFinding,
  finding: CheckFinding,
  { pieces }: Judgeable,
): boolean {
  if (code !== finding.code) return false;
  if (part !== undefined && part !== finding.place.part) return false;
  if (piece === undefined || piece === finding.place.piece) return true;
  return pieces.some((row) => row.piece === finding.place.piece && row.kind === piece);
}

function ignoreOver({ code, piece, part, until }: IgnoredFinding): Omit<JudgedFinding, 'number'> {
  return {
    code: 'IGNORE_OVER',
    level: 'info',
    message: `${code} was ignored until ${until} and is found again.`,
    action: 'Have the pattern mended, or set a later day in the rules.',
    place: { ...(piece === undefined ? {} : { piece }), ...(part === undefined ? {} : { part }) },
    numbers: {},
    tolerance: null,
    basis: 'as the rules say',
    correction: null,
    rule: null,
  };
}

/** What a rule made of a finding, for whoever reads the sheet: "ignored until 2026-12-31 (agreed with the maker), was stop". */
export function ruleWords({ by, was, until, reason }: FindingRule): string {
  if (by === 'severity') return `by the rules, was ${was}`;
  return `ignored until ${until ?? ''} (${(reason ?? '').replace(/\.$/, '')}), was ${was}`;
}
