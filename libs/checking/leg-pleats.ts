import {
  angleBetween,
  DEG,
  distance,
  endOf,
  lerp,
  line,
  splitCurve,
  startOf,
  way,
  type Curve,
  type Point,
} from '#geometry';
import { toFrame, type LegReading } from './leg-frame.js';
import { footOn, type Foot } from './seam-outline.js';

/** A leg with the waist split at its pleats. */
export interface PleatedReading {
  readonly reading: LegReading;
  /** Whether a curve is one half of a pleat: the two halves are laid on each other. */
  readonly isPleat: (curve: number) => boolean;
}

/** The lines of a pleat begin on the waist seam, within this. */
const ON_SEAM_MM = 1;
/** And at a notch of the cut line beyond it, seen along the line, within this. */
const AT_NOTCH_MM = 3;
/** A line of a pleat is this long; the crease is longer. */
const LINE_MM_MIN = 20;
const LINE_MM_MAX = 300;
/** The two lines of a pleat are parallel within this, and nearly equally long. */
const PARALLEL_DEG = 10;
const LENGTH_RATIO = 0.8;
/** What one pleat folds away. */
const INTAKE_MM_MIN = 8;
const INTAKE_MM_MAX = 160;

/**
 * The pleats of a leg, by how the trade marks them: two short lines side by side, down from the waist, each at a notch.
 *
 * Shape   between the two lines stand two straight halves; what the waist does there is folded away. Without pleats the
 *         reading is the one that was given.
 * Source  common practice, no source.
 */
export function withPleats(reading: LegReading): PleatedReading {
  const { curves, source, corners } = reading;
  const count = curves.length;
  const waistCount = (corners.centreWaist - corners.sideWaist + count) % count;
  const ring = curves.map((_, k) => (corners.sideWaist + k) % count);
  const waist = ring.slice(0, waistCount).map((i): Part => ({ curve: curves[i], source: source[i] }));
  const pleats = pleatsOf(reading, waist);
  if (pleats.length === 0) return { reading, isPleat: () => false };
  const rest = ring.slice(waistCount).map((i): Part => ({ curve: curves[i], source: source[i] }));
  const folded = foldedWaist(waist, pleats);
  const parts = [...folded, ...rest];
  const placeOf = (corner: number): number =>
    folded.length + ((corner - corners.centreWaist + count) % count);
  return {
    reading: {
      ...reading,
      curves: parts.map(({ curve }) => curve),
      source: parts.map((part) => part.source),
      corners: {
        sideWaist: 0,
        centreWaist: folded.length,
        fork: placeOf(corners.fork),
        hemInseam: placeOf(corners.hemInseam),
        hemOutseam: placeOf(corners.hemOutseam),
      },
    },
    isPleat: (curve) => parts[curve].isPleat === true,
  };
}

interface Part {
  readonly curve: Curve;
  readonly source: number;
  readonly isPleat?: boolean;
}

/** One line of a pleat: where it meets the waist, counted from the side, and where it ends. */
interface PleatLine {
  readonly foot: Foot;
  readonly tip: Point;
}

/** From side to centre; each begins where the one before has ended. */
function pleatsOf(
  { frame, outline: { piece } }: LegReading,
  waist: readonly Part[],
): (readonly [PleatLine, PleatLine])[] {
  const notches = piece.notches.map(({ at }) => toFrame(frame, at));
  const seam = waist.map(({ curve }) => curve);
  const lines = piece.internalLines
    .filter(({ points }) => isLineLong(distance(points[0], points[points.length - 1])))
    .flatMap(({ points }): PleatLine[] => {
      const ends = [points[0], points[points.length - 1]].map((p) => toFrame(frame, p));
      const [foot, other] = ends.map((p) => atJoint(seam, footOn(seam, p)));
      const [from, tip] = foot.apartMm <= other.apartMm ? [foot, ends[1]] : [other, ends[0]];
      return from.apartMm <= ON_SEAM_MM && notches.some((at) => isBeyond(from.at, tip, at))
        ? [{ foot: from, tip }]
        : [];
    })
    .sort((a, b) => a.foot.index - b.foot.index || a.foot.t - b.foot.t);
  const pleats: (readonly [PleatLine, PleatLine])[] = [];
  for (let i = 0; i + 1 < lines.length; i++) {
    if (!isPleat(lines[i], lines[i + 1])) continue;
    pleats.push([lines[i], lines[i + 1]]);
    i += 1;
  }
  return pleats;
}

/** A foot this near to where two curves meet is there. */
const JOINT_MM = 0.05;

function atJoint(seam: readonly Curve[], foot: Foot): Foot {
  const curve = seam[foot.index];
  const joint = [0, 1].find((t) => distance(t === 0 ? startOf(curve) : endOf(curve), foot.at) <= JOINT_MM);
  return joint === undefined ? foot : { ...foot, t: joint, at: joint === 0 ? startOf(curve) : endOf(curve) };
}

function isLineLong(mm: number): boolean {
  return mm >= LINE_MM_MIN && mm <= LINE_MM_MAX;
}

/** Allowances of a waist are not wider than this. */
const ALLOWANCE_MM_MAX = 40;

/** Whether a notch stands where the line, carried on over the seam, leaves the allowance. */
function isBeyond(from: Point, tip: Point, notch: Point): boolean {
  const reach = distance(notch, from);
  if (reach <= AT_NOTCH_MM) return true;
  if (reach > ALLOWANCE_MM_MAX) return false;
  return reach * Math.sin(angleBetween(way(tip, from), way(from, notch))) <= AT_NOTCH_MM;
}

function isPleat(a: PleatLine, b: PleatLine): boolean {
  const ways = [a, b].map(({ foot, tip }) => way(foot.at, tip));
  const [first, second] = ways.map(({ x, y }) => Math.hypot(x, y));
  const intakeMm = distance(a.foot.at, b.foot.at);
  return (
    intakeMm >= INTAKE_MM_MIN &&
    intakeMm <= INTAKE_MM_MAX &&
    Math.min(first, second) >= LENGTH_RATIO * Math.max(first, second) &&
    angleBetween(ways[0], ways[1]) <= PARALLEL_DEG * DEG
  );
}

function foldedWaist(waist: readonly Part[], pleats: readonly (readonly [PleatLine, PleatLine])[]): Part[] {
  const seam = waist.map(({ curve }) => curve);
  const parts: Part[] = [];
  let from: Place = { index: 0, t: 0 };
  for (const [a, b] of pleats) {
    const before = stretch(waist, from, a.foot);
    parts.push(...before);
    const start = before.length === 0 ? a.foot.at : endOf(before[before.length - 1].curve);
    const end = b.foot.at;
    const middle = lerp(start, end, 1 / 2);
    const { source } = waist[footOn(seam, middle).index];
    parts.push(
      { curve: line(start, middle), source, isPleat: true },
      { curve: line(middle, end), source, isPleat: true },
    );
    from = b.foot;
  }
  return [...parts, ...stretch(waist, from, { index: waist.length - 1, t: 1 })];
}

interface Place {
  readonly index: number;
  readonly t: number;
}

function stretch(waist: readonly Part[], from: Place, to: Place): Part[] {
  return waist.slice(from.index, to.index + 1).flatMap((part, k): Part[] => {
    const i = from.index + k;
    const [start, end] = [i === from.index ? from.t : 0, i === to.index ? to.t : 1];
    if (end <= start) return [];
    const tail = start === 0 ? part.curve : splitCurve(part.curve, start)[1];
    const curve = end === 1 ? tail : splitCurve(tail, (end - start) / (1 - start))[0];
    return [{ ...part, curve }];
  });
}
