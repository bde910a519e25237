/**
 * What becomes of a dart when a waist is resized: it takes its even share, is closed, is kept at the least intake, or
 * is held as it is.
 */
export type DartFate = 'shared' | 'closed' | 'kept' | 'held';

/** A smaller dart sews into a pucker; common practice, no source. */
export const DART_INTAKE_MM_MIN = 8;

/**
 * Decide what becomes of each dart when `missingMm` of waist is wanted back.
 *
 * The smallest dart is asked first, because an even share empties it first: if its share would leave less than
 * `DART_INTAKE_MM_MIN` it is closed, unless closing would give more than is missing; then it is kept at the least.
 */
export function planRelease(missingMm: number, intakes: readonly number[]): DartFate[] {
  const fates: DartFate[] = intakes.map(() => 'shared');
  const bySize = intakes.map((_, i) => i).sort((a, b) => intakes[a] - intakes[b] || a - b);
  let restMm = missingMm;
  for (const [asked, i] of bySize.entries()) {
    if (restMm <= 0) break;
    const shareMm = restMm / (intakes.length - asked);
    if (intakes[i] - shareMm >= DART_INTAKE_MM_MIN) break;
    fates[i] = intakes[i] <= restMm ? 'closed' : 'kept';
    restMm -= fates[i] === 'closed' ? intakes[i] : keptRelease(intakes[i]);
  }
  return fates;
}

/** The releases that give `givenMm` under these fates, and what the side seams of one leg must give together. */
export function releasesFor(
  givenMm: number,
  intakes: readonly number[],
  fates: readonly DartFate[],
): { readonly releases: readonly number[]; readonly sideMm: number } {
  const fixed = intakes.map((intake, i) => {
    if (fates[i] === 'closed') return intake;
    return fates[i] === 'kept' ? keptRelease(intake) : 0;
  });
  const shared = fates.filter((fate) => fate === 'shared').length;
  const leftMm = givenMm - sum(fixed);
  const shareMm = shared === 0 ? 0 : Math.max(0, leftMm / shared);
  const releases = intakes.map((intake, i) =>
    fates[i] === 'shared' ? Math.min(shareMm, keptRelease(intake)) : fixed[i],
  );
  return { releases, sideMm: givenMm - sum(releases) };
}

function keptRelease(intakeMm: number): number {
  return Math.max(0, intakeMm - DART_INTAKE_MM_MIN);
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}
