import {
  angleBetween,
  direction,
  distance,
  endDirection,
  opposite,
  reversed,
  startDirection,
  type CubicBezier,
  type Point,
} from '#geometry';
import type { Edge } from '#pattern';
import { edgeInPlaceOf } from './edge-identity.js';
import { fairCubic, handled } from './fair-cubic.js';
import { cutRun, endOfRun, runLengthMm, SHORTEST_EDGE_MM, stationAtLength } from './run.js';

/**
 * A blend shorter than this is seen as a corner; and on less way it cannot leave the centre square and come back to a waist
 * that runs 25 degrees off it without a turn tighter than 24 mm. Common practice, no source; the radius is measured.
 */
const BLEND_MM_MIN = 40;
/**
 * The shortest handle of a blend. A waist is square when its first ten millimetres show it, not its tangent alone; with
 * a shorter handle at the centre the turn lies inside them, and with a shorter one at the other end it is a corner there.
 */
const HANDLE_MM_MIN = 14;
/** Share of the chord for both handles of a blend that has to bend both ways for the sake of one of its ends. */
const BOTH_WAYS_SHARE = 0.36;
/** Share of the way to the first dart a blend may take: the rest keeps its direction over the dart. */
const BLEND_SHARE_MAX = 0.85;
/**
 * Share of the turn that lies between the old waist and the chord of the blend. Less than half, because the blend
 * leaves the old waist with a longer arm than it reaches the centre with.
 */
const CHORD_TURN_SHARE = 0.45;
/** The cut is only a start for the blend; a tenth of a micron of place along the waist is nothing to it. */
const CUT_TOLERANCE_MM = 1e-4;

/**
 * Blend the end of a waist into a moved centre point.
 *
 * Shape   `run` is the waist from its last dart (or the side) to the old centre. The blend starts on it, tangent,
 *         where it bends one way only if there is room, at most `BLEND_SHARE_MAX` of the way to the dart; it
 *         arrives at `centre` along `arriving`. The run before it stays. A centre that rises little and turns much
 *         leaves no room for one bend that is also square over ten millimetres: the blend then dips below the old
 *         waist, by 3 mm where the centre does not rise and turns by 26 degrees.
 * Units   mm; `arriving` is a direction of travel of length 1, square to the centre seam.
 */
export function blendCentre(run: readonly Edge[], centre: Point, arriving: Point): Edge[] {
  const lengthMm = runLengthMm(run);
  const blendMm = blendLengthMm(run, centre, arriving, lengthMm);
  const restMm = lengthMm - blendMm;
  const station = stationAtLength(run, restMm < SHORTEST_EDGE_MM ? 0 : restMm, CUT_TOLERANCE_MM);
  const [kept, replaced] = cutRun(run, station);
  const parts = replaced.length === 0 ? run.slice(-1) : replaced;
  const start = parts[0].curve;
  const blend = blendFrom(centre, opposite(arriving), start.p0, opposite(startDirection(start)));
  return [
    ...(replaced.length === 0 ? run.slice(0, -1) : kept),
    edgeInPlaceOf('waist', reversed(blend), parts),
  ];
}

/** Drawn from the centre: its arm there is the one the handle rule shares out first. */
function blendFrom(centre: Point, leaving: Point, to: Point, arriving: Point): CubicBezier {
  const { curve } = fairCubic(centre, leaving, to, arriving);
  const handles = [distance(curve.p0, curve.p1), distance(curve.p2, curve.p3)];
  if (Math.min(...handles) >= HANDLE_MM_MIN) return curve;
  const handleMm = BOTH_WAYS_SHARE * distance(centre, to);
  return handled(centre, leaving, handleMm, to, arriving, handleMm);
}

function blendLengthMm(run: readonly Edge[], centre: Point, arriving: Point, lengthMm: number): number {
  const turn = angleBetween(endDirection(run[run.length - 1].curve), arriving);
  const risenMm = distance(endOfRun(run), centre);
  const oneSidedMm = turn > 0 ? (risenMm * Math.cos(turn)) / Math.tan(CHORD_TURN_SHARE * turn) : Infinity;
  return Math.min(BLEND_SHARE_MAX * lengthMm, Math.max(BLEND_MM_MIN, oneSidedMm));
}

/** The direction of a waist that arrives square at a rise which goes down from `centre` through `below`. */
export function squareToRise(centre: Point, below: Point): Point {
  const up = direction(below, centre);
  return { x: up.y, y: -up.x };
}
