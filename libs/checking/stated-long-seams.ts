import { distance } from '#geometry';
import type { SeamCheck, TruingReport, TruingRules } from '#truing';
import type { SeamStretch, StatedSeam } from './check-settings.js';
import type { Leg } from './leg-block.js';
import { seamCurves } from './allowance-checks.js';
import { toFrame } from './leg-frame.js';
import { codeOf } from './offered-corrections.js';
import { footOn } from './seam-outline.js';
import type { LongSeam } from './seam-run.js';
import { atSeam, END_MM } from './stated-seams.js';

/** Long seams that are stated: how much longer than the front the back is meant to be. */
export type StatedLongSeams = ReadonlyMap<LongSeam, number>;

/**
 * What is meant at the long seams of a trouser.
 *
 * A stated seam that goes along a stretch of both, as the one between two marks in which ease is spread, says what is meant
 * there; a seam is meant to be longer by all that its stretches are.
 */
export function statedLongSeams(
  legs: Readonly<Record<'front' | 'back', Leg>>,
  seams: readonly StatedSeam[],
): StatedLongSeams {
  const stated = new Map<LongSeam, number>();
  for (const { first, second, easeMm } of seams)
    for (const long of ['inseam', 'outseam'] as const) {
      const goes = (leg: Leg, stretch: SeamStretch): boolean => goesAlong(leg, long, stretch);
      const sign =
        goes(legs.front, first) && goes(legs.back, second)
          ? 1
          : goes(legs.back, first) && goes(legs.front, second)
            ? -1
            : 0;
      if (sign !== 0) stated.set(long, (stated.get(long) ?? 0) + sign * easeMm);
    }
  return stated;
}

/** Whether both ends of a stretch lie on a long seam of a leg, apart from each other. */
function goesAlong(leg: Leg, seam: LongSeam, { piece: name, from, to }: SeamStretch): boolean {
  const { frame, outline } = leg.reading;
  const { piece } = outline;
  if (piece.block !== name && piece.name !== name) return false;
  const curves = seamCurves(leg, seam);
  const ends = [from, to].map((p) => toFrame(frame, atSeam(outline, p)));
  return ends.every((end) => footOn(curves, end).apartMm <= END_MM) && distance(ends[0], ends[1]) > APART_MM;
}

/** Two ends nearer than this are no stretch. */
const APART_MM = 10;

/** Truing with what is meant at long seams that are stated: they are said once, as stated, and nothing is offered for them. */
export function withStated(
  truing: TruingReport,
  stated: StatedLongSeams,
  { seamPairMm }: TruingRules,
): TruingReport {
  if (stated.size === 0) return truing;
  const meantMm = (seam: SeamCheck['seam']): number | undefined => stated.get(seam as LongSeam);
  const codes = new Set([...stated.keys()].map(codeOf));
  return {
    ...truing,
    seams: truing.seams.map((check): SeamCheck => {
      const easeMm = meantMm(check.seam);
      if (easeMm === undefined) return check;
      const allowed = { min: easeMm - seamPairMm, max: easeMm + seamPairMm };
      const isOk = check.difference >= allowed.min && check.difference <= allowed.max;
      return { ...check, allowed, state: isOk ? 'ok' : 'off', fix: null };
    }),
    findings: truing.findings.filter(({ code }) => !codes.has(code)),
  };
}
