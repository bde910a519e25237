import type { CheckFinding } from '#checking';

/** What is compared of a finding. */
export type ComparedFinding = Pick<CheckFinding, 'number' | 'code' | 'level' | 'numbers'> & {
  readonly place: { readonly [K in keyof CheckFinding['place']]?: CheckFinding['place'][K] | undefined };
};

/** One side of a comparison: the findings of a check, and which piece is what. */
export interface ComparedReport<Finding extends ComparedFinding> {
  readonly findings: readonly Finding[];
  readonly pieces: readonly { readonly piece: string; readonly name: string; readonly kind: string }[];
}

export interface ChangedNumber {
  readonly name: string;
  readonly before: number | null;
  readonly after: number | null;
}

export interface FindingsComparison<Finding extends ComparedFinding> {
  /** In the later report only. */
  readonly came: readonly Finding[];
  /** In the earlier report only. */
  readonly went: readonly Finding[];
  /** In both, with another level or other numbers; only the numbers that differ are listed. */
  readonly changed: readonly {
    readonly before: Finding;
    readonly after: Finding;
    readonly numbers: readonly ChangedNumber[];
  }[];
  /** How many are in both alike. */
  readonly unchanged: number;
}

/**
 * What came, went and changed between the findings of two versions of a pattern.
 *
 * Shape     two findings are the same one when their code, piece and part are. A front, back or waistband is known by
 *           being it, since exporters rename blocks; any other piece by its name. Several alike on one piece are matched
 *           in the order in which the reports have them that stand nearest each other.
 * Accuracy  numbers that differ by no more than `toleranceMm` (or that many degrees) are alike.
 * Cost      the square of the number of findings of one code on one piece and part.
 */
export function compareFindings<Finding extends ComparedFinding>(
  earlier: ComparedReport<Finding>,
  later: ComparedReport<Finding>,
  toleranceMm: number,
): FindingsComparison<Finding> {
  const before = grouped(earlier);
  const after = grouped(later);
  const matched = [...new Set([...before.keys(), ...after.keys()])].map((key) =>
    match(before.get(key) ?? [], after.get(key) ?? []),
  );
  const pairs = matched
    .flatMap((one) => one.pairs)
    .map(([old, now]) => ({
      before: old,
      after: now,
      numbers: changedNumbers(old.numbers, now.numbers, toleranceMm),
    }));
  const changed = pairs.filter((pair) => pair.numbers.length > 0 || pair.before.level !== pair.after.level);
  const byNumber = (a: Finding, b: Finding): number => a.number - b.number;
  return {
    came: matched.flatMap((one) => one.came).sort(byNumber),
    went: matched.flatMap((one) => one.went).sort(byNumber),
    changed: changed.sort((a, b) => a.after.number - b.after.number),
    unchanged: pairs.length - changed.length,
  };
}

const KNOWN_BY_KIND = new Set(['front', 'back', 'waistband']);

function grouped<Finding extends ComparedFinding>({
  findings,
  pieces,
}: ComparedReport<Finding>): Map<string, Finding[]> {
  const groups = new Map<string, Finding[]>();
  const nameOf = (piece: string | undefined): string => {
    const row = pieces.find((candidate) => candidate.piece === piece);
    if (row === undefined) return piece ?? '';
    const isOnly = pieces.filter(({ kind }) => kind === row.kind).length === 1;
    return KNOWN_BY_KIND.has(row.kind) && isOnly ? row.kind : row.name;
  };
  for (const finding of findings) {
    const { code, place } = finding;
    const key = JSON.stringify([code, nameOf(place.piece), place.part ?? '']);
    groups.set(key, [...(groups.get(key) ?? []), finding]);
  }
  return groups;
}

interface Matched<Finding> {
  readonly pairs: readonly (readonly [before: Finding, after: Finding])[];
  readonly came: readonly Finding[];
  readonly went: readonly Finding[];
}

/** Each of the earlier with the nearest of the later that is still free. */
function match<Finding extends ComparedFinding>(
  before: readonly Finding[],
  after: readonly Finding[],
): Matched<Finding> {
  const free = [...after];
  const pairs: [Finding, Finding][] = [];
  const went: Finding[] = [];
  for (const old of before) {
    const apart = free.map((now) => apartMm(old.place.at, now.place.at));
    const nearest = apart.indexOf(Math.min(...apart));
    if (nearest < 0) went.push(old);
    else pairs.push([old, ...free.splice(nearest, 1)] as [Finding, Finding]);
  }
  return { pairs, came: free, went };
}

function apartMm(a: ComparedFinding['place']['at'], b: ComparedFinding['place']['at']): number {
  return a === undefined || b === undefined ? 0 : Math.hypot(b.x - a.x, b.y - a.y);
}

function changedNumbers(
  before: CheckFinding['numbers'],
  after: CheckFinding['numbers'],
  toleranceMm: number,
): ChangedNumber[] {
  return [...new Set([...Object.keys(before), ...Object.keys(after)])].flatMap((name) => {
    const [was, is] = [before[name], after[name]];
    if (was !== undefined && is !== undefined && Math.abs(is - was) <= toleranceMm) return [];
    return [{ name, before: was ?? null, after: is ?? null }];
  });
}
