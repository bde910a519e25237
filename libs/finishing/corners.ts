import {
  along,
  cross,
  direction,
  distance,
  dot,
  leftOf,
  meet,
  opposite,
  unit,
  way,
  type Point,
} from '#geometry';
import type { CutPoint } from './cut-piece.js';
import type { Strand } from './seam-run.js';
import {
  carriedTo,
  endAtLine,
  endOfStrand,
  firstMeeting,
  mirrored,
  reversedStrand,
  startAtLine,
  startOfStrand,
  type StraightLine,
} from './strand.js';

/**
 * How the allowances of two seams end where the seams meet.
 *
 * - square: the allowance of the seam that is pressed open ends square to it, where the seam carried on leaves the
 *   other allowance.
 * - flush: it ends in the mirror image of the other cut line, so that pressed open it lies flush with it.
 * - turned-back: the hem's allowance ends in the mirror image of the side, so that turned up it lies within the leg.
 * - mitre: both cut lines are carried on to their corner, bevelled beyond the limit by a bevel of 1 mm at least.
 */
export type CornerTreatment = 'square' | 'flush' | 'turned-back' | 'mitre';

export interface CornerPlan {
  readonly treatment: CornerTreatment;
  /** Which of the two is pressed open (square, flush) or stays as it is (turned-back). */
  readonly seam: 'before' | 'after';
  /** Beyond this many widths a mitre is bevelled. */
  readonly mitreLimit: number;
  /** For turned-back: the direction of the hem, of length 1. */
  readonly fold?: Point;
  /**
   * How far beyond the corner the seam, carried on, leaves the other allowance, where the partner that this seam is
   * sewn to has decided it.
   */
  readonly endMm?: number;
}

/** A corner of the seam line: two seams meet at `at`, travelled along `into` and then `outOf`. */
export interface SeamCorner {
  readonly at: Point;
  readonly into: Point;
  readonly outOf: Point;
}

export interface WorkedCorner {
  readonly before: Strand;
  readonly between: readonly CutPoint[];
  readonly after: Strand;
  /** `mitre` where the treatment asked for found no room. */
  readonly treatment: CornerTreatment | 'stair';
}

/** Seams that go on in nearly the same direction have no corner to treat: half a degree. */
const STRAIGHT_ON_RAD = 0.0087;
const SAME_MM = 1e-6;

/** The two cut lines at a corner, ended as the plan says. */
export function workCorner(
  before: Strand,
  after: Strand,
  corner: SeamCorner,
  plan: CornerPlan,
): WorkedCorner {
  const turnRad = Math.atan2(cross(corner.into, corner.outOf), dot(corner.into, corner.outOf));
  if (Math.abs(turnRad) < STRAIGHT_ON_RAD) return straightOn(before, after, plan.treatment);
  // Inside a corner the two cut lines cross; the crossing is taken out when the ring is closed.
  if (turnRad > 0) return { before, between: [], after, treatment: plan.treatment };
  const ends = ledToEnd(before, after, corner, plan);
  const worked = treated(ends.before, ends.after, corner, plan);
  return worked ?? mitred(ends.before, ends.after, corner, plan.mitreLimit);
}

/** Where a seam, carried on beyond its corner, leaves the allowance of the other seam. */
export interface NaturalEnd {
  readonly endMm: number;
  /** Whether the other cut line itself is left there, and not only what carries it on. */
  readonly onCutLine: boolean;
}

export function naturalEnd(
  before: Strand,
  after: Strand,
  corner: SeamCorner,
  seam: CornerPlan['seam'],
): NaturalEnd | undefined {
  const { other, beyond } = atCorner(before, after, corner, seam);
  const ended = endAtLine(other, { origin: corner.at, towards: beyond });
  if (ended === undefined) return undefined;
  const endMm = dot(way(corner.at, endOfStrand(ended)), beyond);
  return { endMm, onCutLine: ended.points.length <= other.points.length };
}

/** The other seam's cut line, travelled towards the corner, and the direction in which the seam goes on beyond it. */
function atCorner(
  before: Strand,
  after: Strand,
  { into, outOf }: SeamCorner,
  seam: CornerPlan['seam'],
): { readonly other: Strand; readonly beyond: Point } {
  return seam === 'after'
    ? { other: before, beyond: opposite(outOf) }
    : { other: reversedStrand(after), beyond: into };
}

// A cut line that does not reach the seam's end is carried on to where the partner's leaves it, so that both
// allowances end alike.
function ledToEnd(
  before: Strand,
  after: Strand,
  corner: SeamCorner,
  { seam, endMm }: CornerPlan,
): { readonly before: Strand; readonly after: Strand } {
  const natural = endMm === undefined ? undefined : naturalEnd(before, after, corner, seam);
  if (endMm === undefined || natural === undefined || natural.onCutLine) return { before, after };
  const { other, beyond } = atCorner(before, after, corner, seam);
  const end = along(corner.at, beyond, endMm);
  if (distance(endOfStrand(other), end) < SAME_MM) return { before, after };
  const led = { ...other, endDirection: direction(endOfStrand(other), end) };
  return seam === 'after' ? { before: led, after } : { before, after: reversedStrand(led) };
}

function straightOn(before: Strand, after: Strand, treatment: CornerTreatment): WorkedCorner {
  const step = distance(endOfStrand(before), startOfStrand(after)) > SAME_MM;
  if (step) return { before, between: [], after, treatment: 'stair' };
  return { before: withoutEnd(before), between: [], after: smoothStart(after), treatment };
}

function withoutEnd(strand: Strand): Strand {
  return { ...strand, points: strand.points.slice(0, -1) };
}

function smoothStart(strand: Strand): Strand {
  const [first, ...rest] = strand.points;
  return { ...strand, points: [{ at: first.at, kind: 'curve' }, ...rest] };
}

function treated(
  before: Strand,
  after: Strand,
  corner: SeamCorner,
  plan: CornerPlan,
): WorkedCorner | undefined {
  if (plan.treatment === 'mitre') return undefined;
  // One of the two is looked at backwards, so that there is one way to think of: `other` ends at the corner.
  return plan.seam === 'after'
    ? treatedAfter(before, after, { origin: corner.at, towards: corner.outOf }, plan)
    : flipped(
        treatedAfter(
          reversedStrand(after),
          reversedStrand(before),
          { origin: corner.at, towards: corner.into },
          plan,
        ),
      );
}

function flipped(worked: WorkedCorner | undefined): WorkedCorner | undefined {
  if (worked === undefined) return undefined;
  return {
    before: reversedStrand(worked.after),
    between: [...worked.between].reverse(),
    after: reversedStrand(worked.before),
    treatment: worked.treatment,
  };
}

// `open` is the cut line of the seam that is pressed open or, for a hem, of the side; `seamLine` is that seam.
function treatedAfter(
  other: Strand,
  open: Strand,
  seamLine: StraightLine,
  plan: CornerPlan,
): WorkedCorner | undefined {
  const { treatment } = plan;
  if (treatment === 'turned-back') return turnedBack(other, open, seamLine, plan.fold);
  const kept = endAtLine(other, seamLine);
  if (kept === undefined) return undefined;
  if (treatment === 'flush') return mirroredEnd(kept, open, seamLine, treatment);
  const square = { origin: endOfStrand(kept), towards: leftOf(seamLine.towards) };
  const ended = startAtLine(open, square);
  return ended === undefined ? undefined : { before: kept, between: [], after: ended, treatment };
}

function turnedBack(
  hem: Strand,
  side: Strand,
  seamLine: StraightLine,
  fold: Point | undefined,
): WorkedCorner | undefined {
  const line = { origin: seamLine.origin, towards: fold ?? leftOf(seamLine.towards) };
  const kept = startAtLine(side, line);
  if (kept === undefined) return undefined;
  // The side is travelled away from the fold, its image towards the hem's cut line.
  return flipped(mirroredEnd(reversedStrand(kept), reversedStrand(hem), line, 'turned-back'));
}

/** `kept` ends on the line; beyond it its own mirror image goes on until it meets `open`. */
function mirroredEnd(
  kept: Strand,
  open: Strand,
  line: StraightLine,
  treatment: CornerTreatment,
): WorkedCorner | undefined {
  const back = [...kept.points].reverse().map(({ at }) => mirrored(at, line));
  const met = firstMeeting(back, open);
  if (met === undefined) return undefined;
  // The first point of the image is the end of `kept` itself.
  const between = met.path.slice(1).map((at): CutPoint => ({ at, kind: 'curve' }));
  return { before: kept, between, after: met.other, treatment };
}

/** Common practice, no source. */
const BEVEL_MM_MIN = 1;

function mitred(before: Strand, after: Strand, corner: SeamCorner, limit: number): WorkedCorner {
  const a = endOfStrand(before);
  const b = startOfStrand(after);
  const tip = meet(a, before.endDirection, b, after.startDirection);
  const widthMm = Math.max(distance(corner.at, a), distance(corner.at, b));
  if (tip === undefined) return { before, between: [], after, treatment: 'mitre' };
  const reach = distance(corner.at, tip);
  if (reach <= limit * widthMm || reach === 0)
    return { ...carriedTo(before, tip, after), between: [], treatment: 'mitre' };
  const outwards = unit({ x: tip.x - corner.at.x, y: tip.y - corner.at.y });
  const bevel = { origin: along(corner.at, outwards, limit * widthMm), towards: leftOf(outwards) };
  const ended = endAtLine(before, bevel);
  const started = startAtLine(after, bevel);
  if (ended === undefined || started === undefined) return { before, between: [], after, treatment: 'mitre' };
  // A corner that hardly reaches beyond the limit stays whole: no knife follows a bevel that short.
  if (distance(endOfStrand(ended), startOfStrand(started)) < BEVEL_MM_MIN)
    return { ...carriedTo(before, tip, after), between: [], treatment: 'mitre' };
  return { before: ended, between: [], after: started, treatment: 'mitre' };
}
