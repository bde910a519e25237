import { add, distance, scale, type Point } from '#geometry';
import type { Leg } from './leg-block.js';
import { toFrame } from './leg-frame.js';
import { walked } from './leg-notches.js';
import { bowShare, END_MM } from './leg-moves.js';
import { footOn } from './seam-outline.js';
import { SeamRun, type LongSeam } from './seam-run.js';

/** A stretch of a seam that can be redrawn, and what that gives. */
export interface Bendable {
  readonly fromMm: number;
  readonly toMm: number;
  /** -1 or 1: the side to which it has to go, seen on the way up. */
  readonly side: 1 | -1;
  /** How much of the wanted length is gained when no point goes further than `byMm`, and how far the farthest goes then. */
  gain(byMm: number): { readonly gainMm: number; readonly byMm: number };
}

/** A line drawn with fewer points than this, or wider apart than a fifth of it, has no curve that could be redrawn. */
const POINTS_MIN = 6;
const POINT_GAP_SHARE = 0.2;
const SAMPLES = 120;
/** Steps in which it is looked how much longer or shorter a stretch gets: a straight one gets no shorter than straight. */
const STEP_MM = 0.25;

/**
 * The longest part of a stretch of seam that has points to move and no notch on it, bent to get longer (`wanted` 1) or
 * shorter (-1); undefined where there is none.
 */
export function bendable(
  leg: Leg,
  seam: LongSeam,
  [lowMm, highMm]: readonly [number, number],
  wanted: 1 | -1,
): Bendable | undefined {
  const run = SeamRun.of(leg, seam);
  const part = withPoints(leg, seam, run, lowMm, highMm);
  if (part === undefined) return undefined;
  const [fromMm, toMm] = part;
  const samples = Array.from({ length: SAMPLES + 1 }, (_, i) => {
    const share = i / SAMPLES;
    const mm = fromMm + share * (toMm - fromMm);
    return { at: run.pointAt(mm), left: run.leftAt(mm), share: bowShare(share) };
  });
  const lengthMm = (byMm: number): number => {
    const points = samples.map(({ at, left, share }): Point => add(at, scale(left, byMm * share)));
    return points.reduce((sum, p, i) => (i === 0 ? 0 : sum + distance(points[i - 1], p)), 0);
  };
  const straightMm = lengthMm(0);
  const gainTo = (byMm: number): number => wanted * (lengthMm(byMm) - straightMm);
  const side = gainTo(STEP_MM) >= gainTo(-STEP_MM) ? 1 : -1;
  return {
    fromMm,
    toMm,
    side,
    gain(limitMm) {
      let best = { gainMm: 0, byMm: 0 };
      const steps = Math.ceil(limitMm / STEP_MM);
      for (let i = 1; i <= steps; i++) {
        const byMm = Math.min(limitMm, i * STEP_MM);
        const gainMm = gainTo(side * byMm);
        if (gainMm < best.gainMm) break;
        best = { gainMm, byMm };
      }
      return best;
    },
  };
}

function withPoints(
  leg: Leg,
  seam: LongSeam,
  run: SeamRun,
  lowMm: number,
  highMm: number,
): readonly [number, number] | undefined {
  const { outline, frame, curves, source } = leg.reading;
  const given = curves.flatMap((curve, index) => {
    if (leg.roles[index] !== seam) return [];
    const { first, last } = outline.curves[source[index]];
    return Array.from({ length: last - first + 1 }, (_, k) => {
      const p = toFrame(frame, outline.points[(first + k) % outline.points.length]);
      return run.fromHemMm({ ...footOn([curve], p), index }) ?? 0;
    });
  });
  const notches = walked(leg, seam).map(({ fromHemMm }) => fromHemMm);
  const within = (mm: number): boolean => mm > lowMm + END_MM && mm < highMm - END_MM;
  const stops = [lowMm, ...notches.filter(within), highMm].sort((a, b) => a - b);
  const gaps = stops.slice(1).map((to, i) => [stops[i], to] as const);
  const runs = gaps.flatMap(([from, to]) =>
    evenRuns([from, ...given.filter((mm) => mm > from + 0.01 && mm < to - 0.01).sort((a, b) => a - b), to]),
  );
  return runs.length === 0 ? undefined : runs.reduce((best, each) => (span(each) > span(best) ? each : best));
}

function span([from, to]: readonly [number, number]): number {
  return to - from;
}

/** The parts of a row of places in which no two neighbours stand too far apart. */
function evenRuns(places: readonly number[]): (readonly [number, number])[] {
  const wide = places.slice(1).flatMap((mm, i) => (mm - places[i] > POINT_GAP_MM ? [i + 1] : []));
  const bounds = [0, ...wide, places.length];
  return bounds.slice(1).flatMap((end, k) => {
    const part = places.slice(bounds[k], end);
    const whole = part[part.length - 1] - part[0];
    const widest = Math.max(...part.slice(1).map((mm, i) => mm - part[i]));
    return part.length >= POINTS_MIN && widest <= POINT_GAP_SHARE * whole
      ? [[part[0], part[part.length - 1]] as const]
      : [];
  });
}

/** Points of a curve stand nearer than this; what is wider is a straight line of its own. */
const POINT_GAP_MM = 60;
