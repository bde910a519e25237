import {
  along,
  crossingsWithLine,
  cubic,
  distance,
  dot,
  endOf,
  line,
  mapCurve,
  pointAt,
  QUARTER_HANDLE,
  reversed,
  startDirection,
  startOf,
  way,
  type Curve,
  type Point,
} from '#geometry';
import { curvesOf, edgesOf, USUAL_FLY, type Finding, type Moved, type Piece } from '#pattern';
import { carrySeamEnd } from './carry-seam-end.js';
import { isInside } from './inside-outline.js';
import { done, mm, type Outcome } from './outcome.js';
import { withEnd, withStart } from './run.js';

/** A longer opening is a matter of style; a block that has one has asked for it. Common practice, no source. */
const FLY_LENGTH_MM_MAX = 200;
const FLY_WIDTH_MM_MAX = 60;
/** The fly ends at least this far above the fork, where the crotch seam must be whole; common practice, no source. */
const ABOVE_FORK_MM_MIN = 60;
/** The bend at the end of the fly takes at most this share of the length, on a short and wide fly. */
const BEND_SHARE_MAX = 0.6;
/** Narrowing steps when a fly would leave its piece. */
const NARROWING = { factor: 0.9, stepsMax: 16 };

export interface LaidFly {
  readonly front: Piece;
  readonly findings: readonly Finding[];
}

interface FlySize {
  readonly lengthMm: number;
  readonly widthMm: number;
}

/**
 * Lay the fly line along the new front rise, grown with it.
 *
 * Shape     length times phi, width times half of what phi adds, where phi is new rise over old rise; at most 200 by
 *           60 mm unless the block's own fly is more. A block's own fly line keeps its form in the frame of its rise;
 *           else the line runs parallel to the rise and bends into it. Its top ends at the waist, its end on the rise.
 * Units     mm; `polygon` is the outline of `after`.
 * Edges     FLY_TOO_LONG when a cap or the 60 mm above the fork shortened it, FLY_END_OUTSIDE when it had to be made
 *           narrower to stay within the piece.
 */
export function layFly(
  before: Piece,
  after: Piece,
  phi: number,
  forkLevelMm: number,
  polygon: readonly Point[],
): Outcome<LaidFly> {
  const frame = frameOf(after);
  const own = ownFly(before);
  const old = own ?? USUAL_FLY;
  const wanted = { lengthMm: old.lengthMm * phi, widthMm: old.widthMm * (1 + (phi - 1) / 2) };
  const size = capped(old, wanted, (frame.top.y - forkLevelMm - ABOVE_FORK_MM_MIN) / -frame.down.y);
  if (!(size.lengthMm > 0)) return done({ front: withFly(after, []), findings: [noRoom()] });
  const draw = (widthMm: number): Curve[] =>
    own === undefined
      ? standardFly(after, frame, { ...size, widthMm })
      : scaledFly(after, frame, own, { ...size, widthMm });
  let { widthMm } = size;
  let curves = draw(widthMm);
  for (let step = 0; step < NARROWING.stepsMax && !liesInside(curves, polygon); step++) {
    widthMm *= NARROWING.factor;
    curves = draw(widthMm);
  }
  const laid: FlySize = { lengthMm: size.lengthMm, widthMm };
  const front = withFly(after, curves);
  return done({ front, findings: flyFindings(wanted, size, laid) }, flyRecords(old, laid));
}

interface RiseFrame {
  readonly top: Point;
  readonly down: Point;
  readonly inwards: Point;
}

function frameOf(piece: Piece): RiseFrame {
  const [first] = edgesOf(piece, 'rise');
  const down = startDirection(first.curve);
  // Square to the rise, away from the centre: the rise has the piece on its right.
  return { top: startOf(first.curve), down, inwards: { x: down.y, y: -down.x } };
}

interface OwnFly extends FlySize {
  readonly frame: RiseFrame;
  /** From the waist to the rise. */
  readonly curves: readonly Curve[];
}

function ownFly(before: Piece): OwnFly | undefined {
  const curves = before.lines.filter(({ role }) => role === 'fly').flatMap((drawn) => drawn.curves);
  if (curves.length === 0) return undefined;
  const frame = frameOf(before);
  const depth = (p: Point): number => dot(way(frame.top, p), frame.down);
  const across = (p: Point): number => dot(way(frame.top, p), frame.inwards);
  const points = curves.flatMap((curve) => [0, 0.25, 0.5, 0.75, 1].map((t) => pointAt(curve, t)));
  const size = { lengthMm: Math.max(...points.map(depth)), widthMm: Math.max(...points.map(across)) };
  if (!(size.lengthMm > 0 && size.widthMm > 0)) return undefined;
  const isDownwards = depth(startOf(curves[0])) <= depth(endOf(curves[curves.length - 1]));
  return { ...size, frame, curves: isDownwards ? curves : curves.map(reversed).reverse() };
}

function capped(old: FlySize, wanted: FlySize, roomMm: number): FlySize {
  return {
    lengthMm: Math.min(wanted.lengthMm, Math.max(FLY_LENGTH_MM_MAX, old.lengthMm), roomMm),
    widthMm: Math.min(wanted.widthMm, Math.max(FLY_WIDTH_MM_MAX, old.widthMm)),
  };
}

function standardFly(piece: Piece, { top, down, inwards }: RiseFrame, size: FlySize): Curve[] {
  const bendMm = Math.min(USUAL_FLY.bendPerWidth * size.widthMm, BEND_SHARE_MAX * size.lengthMm);
  const inner = along(top, inwards, size.widthMm);
  const bend = along(inner, down, size.lengthMm - bendMm);
  const end = along(top, down, size.lengthMm);
  const turn = cubic(
    bend,
    along(bend, down, QUARTER_HANDLE * bendMm),
    along(end, inwards, QUARTER_HANDLE * size.widthMm),
    end,
  );
  return [line(atWaist(piece, inner, down) ?? inner, bend), turn];
}

function scaledFly(piece: Piece, { top, down, inwards }: RiseFrame, own: OwnFly, size: FlySize): Curve[] {
  const alongShare = size.lengthMm / own.lengthMm;
  const acrossShare = size.widthMm / own.widthMm;
  const move = (p: Point): Point => {
    const from = way(own.frame.top, p);
    const depth = dot(from, own.frame.down) * alongShare;
    return along(along(top, down, depth), inwards, dot(from, own.frame.inwards) * acrossShare);
  };
  const curves = own.curves.map((curve) => mapCurve(curve, move));
  const last = curves[curves.length - 1];
  const end = along(top, down, dot(way(top, endOf(last)), down));
  curves[curves.length - 1] = carried(last, 'end', end);
  const start = startOf(curves[0]);
  curves[0] = carried(curves[0], 'start', atWaist(piece, start, startDirection(curves[0])) ?? start);
  return curves;
}

function carried(curve: Curve, end: 'start' | 'end', to: Point): Curve {
  const from = end === 'start' ? startOf(curve) : endOf(curve);
  const [edge] = carrySeamEnd([{ id: '', role: 'rise', curve }], end, way(from, to));
  return end === 'start' ? withStart(edge.curve, to) : withEnd(edge.curve, to);
}

/** Where the line through `from` along `towards` meets the waist, nearest to `from`. */
function atWaist(piece: Piece, from: Point, towards: Point): Point | undefined {
  const met = curvesOf(piece, 'waist').flatMap((curve) =>
    crossingsWithLine(curve, from, towards).map((t) => pointAt(curve, t)),
  );
  return met.sort((a, b) => distance(a, from) - distance(b, from))[0];
}

// The ends lie on seams by construction; what lies between must not leave the piece.
function liesInside(curves: readonly Curve[], polygon: readonly Point[]): boolean {
  return curves.every((curve) =>
    [0.1, 0.3, 0.5, 0.7, 0.9].every((t) => isInside(polygon, pointAt(curve, t))),
  );
}

function withFly(piece: Piece, curves: readonly Curve[]): Piece {
  const others = piece.lines.filter(({ role }) => role !== 'fly');
  return { ...piece, lines: curves.length === 0 ? others : [...others, { role: 'fly', curves }] };
}

function flyRecords(old: FlySize, laid: FlySize): Moved[] {
  const record = (part: string, beforeMm: number, afterMm: number): Moved => ({
    operation: 'lay fly',
    piece: 'front',
    part,
    byMm: afterMm - beforeMm,
    beforeMm,
    afterMm,
  });
  return [record('fly length', old.lengthMm, laid.lengthMm), record('fly width', old.widthMm, laid.widthMm)];
}

function flyFindings(wanted: FlySize, capped: FlySize, laid: FlySize): Finding[] {
  const place = { piece: 'front' as const, part: 'fly' };
  const findings: Finding[] = [];
  if (capped.lengthMm < wanted.lengthMm) {
    findings.push({
      code: 'FLY_TOO_LONG',
      level: 'info',
      message: `Grown with the rise the fly would be ${mm(wanted.lengthMm)} long; it was drawn ${mm(capped.lengthMm)} long.`,
      action: `Draw a longer fly only where the style asks for it; an opening of ${mm(USUAL_FLY.lengthMm)} passes the hip.`,
      place,
      numbers: { wantedMm: wanted.lengthMm, drawnMm: capped.lengthMm },
    });
  }
  if (laid.widthMm < capped.widthMm) {
    findings.push({
      code: 'FLY_END_OUTSIDE',
      level: 'warning',
      message: `The fly did not fit into the front at ${mm(capped.widthMm)} width; it was drawn ${mm(laid.widthMm)} wide.`,
      action: 'Check the fly against the zip and the front dart before cutting.',
      place,
      numbers: { wantedMm: capped.widthMm, drawnMm: laid.widthMm },
    });
  }
  return findings;
}

function noRoom(): Finding {
  return {
    code: 'FLY_END_OUTSIDE',
    level: 'warning',
    message: `There is no room for a fly that ends ${ABOVE_FORK_MM_MIN} mm above the fork; none was drawn.`,
    action: 'Plan another opening, or a pull-on waist.',
    place: { piece: 'front', part: 'fly' },
  };
}
