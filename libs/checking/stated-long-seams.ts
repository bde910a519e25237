import { distance, type Point } from '#geometry';
import type { SeamCheck, TruingReport, TruingRules } from '#truing';
import type { SeamStretch, StatedSeam } from './check-settings.js';
import type { Leg } from './leg-block.js';
import { toFile } from './leg-frame.js';
import { codeOf } from './offered-corrections.js';
import { SeamRun, type LongSeam } from './seam-run.js';
import { atSeam, END_MM } from './stated-seams.js';

/** Long seams that a stated one goes along from end to end: how much longer than the front the back is meant to be. */
export type StatedLongSeams = ReadonlyMap<LongSeam, number>;

export function statedLongSeams(
  legs: Readonly<Record<'front' | 'back', Leg>>,
  seams: readonly StatedSeam[],
): StatedLongSeams {
  const stated = new Map<LongSeam, number>();
  for (const { first, second, easeMm } of seams)
    for (const long of ['inseam', 'outseam'] as const) {
      const covers = (leg: Leg, stretch: SeamStretch): boolean => goesAlong(leg, long, stretch);
      if (covers(legs.front, first) && covers(legs.back, second)) stated.set(long, easeMm);
      else if (covers(legs.back, first) && covers(legs.front, second)) stated.set(long, -easeMm);
    }
  return stated;
}

function goesAlong(leg: Leg, seam: LongSeam, { piece: name, from, to }: SeamStretch): boolean {
  const { frame, outline } = leg.reading;
  const { piece } = outline;
  if (piece.block !== name && piece.name !== name) return false;
  const run = SeamRun.of(leg, seam);
  const ends = [0, run.lengthMm].map((mm) => toFile(frame, run.pointAt(mm)));
  const lies = (p: Point, end: Point): boolean => distance(atSeam(outline, p), end) <= END_MM;
  return (lies(from, ends[0]) && lies(to, ends[1])) || (lies(from, ends[1]) && lies(to, ends[0]));
}

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
