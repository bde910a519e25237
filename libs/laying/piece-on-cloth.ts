import { mapCurve, type Point } from '#geometry';
import type { CutPiece } from '#finishing';
import type { MarkerPiece, Placement } from '#marker';
import { grainFrame } from './lay-piece.js';

/** Which of a pair, as worn and cut with the cloth face up. */
export type Side = 'L' | 'R';

/**
 * Left or right of a piece that is cut as a pair; undefined for one that is not.
 *
 * Pieces stand with the inseam at +x: seen on the face of the cloth, a front so drawn is the wearer's right and a back
 * the wearer's left. Small pieces are drawn in the frame of the front they are sewn to.
 */
export function sideOf({ id, quantity }: CutPiece, mirrored: boolean): Side | undefined {
  if (quantity.asDrawn === 0 || quantity.mirrored === 0) return undefined;
  return id.startsWith('back') === mirrored ? 'R' : 'L';
}

/** A cut piece with everything in it as it lies on the cloth, in mm from the marker's lower left corner. */
export function pieceOnCloth(piece: CutPiece, placement: Placement): CutPiece {
  const onGrain = grainFrame(piece);
  const turn = turned(placement);
  const direct = (p: Point): Point => turn(onGrain(p));
  const move = (p: Point): Point => {
    const at = direct(p);
    return { x: at.x + placement.x, y: at.y + placement.y };
  };
  const cut = piece.cut.map(({ at, kind }) => ({ at: move(at), kind }));
  return {
    ...piece,
    // A mirrored outline would run the other way round.
    cut: placement.mirrored ? cut.reverse() : cut,
    runs: piece.runs.map((run) => ({ ...run, curves: run.curves.map((curve) => mapCurve(curve, move)) })),
    darts: piece.darts.map((curves) => curves.map((curve) => mapCurve(curve, move))),
    notches: piece.notches.map((notch) => ({
      ...notch,
      foot: move(notch.foot),
      at: move(notch.at),
      inwards: direct(notch.inwards),
    })),
    drillHoles: piece.drillHoles.map((hole) => ({ ...hole, at: move(hole.at) })),
    lines: piece.lines.map(({ role, curves }) => ({
      role,
      curves: curves.map((curve) => mapCurve(curve, move)),
    })),
    grain: [move(piece.grain[0]), move(piece.grain[1])],
    quantity: { asDrawn: 1, mirrored: 0 },
  };
}

/** The contract of a layout: mirrored (x -> -x), then turned about the origin. Quarter turns are exact. */
function turned({ mirrored, turn }: Placement): (p: Point) => Point {
  const quarter = ((turn % 360) + 360) % 360;
  const exact: Readonly<Record<number, readonly [number, number]>> = {
    0: [1, 0],
    90: [0, 1],
    180: [-1, 0],
    270: [0, -1],
  };
  const angle = (turn * Math.PI) / 180;
  const [cos, sin] = exact[quarter] ?? [Math.cos(angle), Math.sin(angle)];
  return ({ x, y }) => {
    const across = mirrored ? -x : x;
    return { x: across * cos - y * sin, y: across * sin + y * cos };
  };
}

/** Share of a plain piece's length that its grain arrow takes. */
const GRAIN_SHARE = 0.3;

/** A piece of which only the outline is known: cut as given, grain along +x. */
export function plainPiece({ id, outline }: MarkerPiece, quantity: CutPiece['quantity']): CutPiece {
  const xs = outline.map(([x]) => x);
  const ys = outline.map(([, y]) => y);
  const [left, right] = [Math.min(...xs), Math.max(...xs)];
  const y = (Math.min(...ys) + Math.max(...ys)) / 2;
  const [middle, reach] = [(left + right) / 2, (right - left) * GRAIN_SHARE];
  return {
    id: String(id),
    name: String(id),
    cut: outline.map(([px, py]) => ({ at: { x: px, y: py }, kind: 'turn' })),
    runs: [],
    darts: [],
    notches: [],
    drillHoles: [],
    lines: [],
    grain: [
      { x: middle - reach, y },
      { x: middle + reach, y },
    ],
    quantity,
    cloth: ['shell'],
  };
}
