import { checkRequest, problem } from './check-request.js';
import type { Corner, Garment, MarkerPiece, MarkerProblem, MarkerRequest, Nap } from './request.js';
import { boxOf, cleanRing, isMovedCopy } from './ring.js';
import type { Task, TaskPiece, Variant } from './task.js';

/**
 * Grid units added to every gap. Rounding the corners of two outlines and their places to the grid moves them
 * together by at most 4 x 0.71 = 2.83 units, and a side of a no-fit polygon may be 3.54 units off (corners welded within
 * 2 units each way after rounding), so pieces clear in the search are clear as published. A millimetre has hundreds.
 */
const GUARD_UNITS = 7;

/** The search keeps coordinates under this, a quarter of what exact cross products allow. */
const UNITS_MAX = 2 ** 22;

/** A request made ready for the search. */
export interface MarkerPlan {
  readonly request: MarkerRequest;
  readonly task: Task;
  /** Grid units per unit of the request: a power of two, so that a place on the grid is exact in a double. */
  readonly unitsPer: number;
  /** Index of the garment each piece of the task belongs to. */
  readonly garmentOf: readonly number[];
}

export type MarkerAnswer =
  | { readonly ok: true; readonly plan: MarkerPlan }
  | {
      readonly ok: false;
      /** invalid: the request contradicts itself. infeasible: it is clear, and this cloth cannot take it. */
      readonly why: 'invalid' | 'infeasible';
      readonly problems: readonly MarkerProblem[];
    };

/** Check a request and put it on the grid, or say all that stands in its way. */
export function planMarker(request: MarkerRequest): MarkerAnswer {
  const problems = checkRequest(request);
  if (problems.length > 0) return { ok: false, why: 'invalid', problems };
  const unitsPer = gridFor(request);
  const built = variantsOf(request, unitsPer);
  const tooWide = request.pieces.flatMap((piece, index) => checkFits(request, piece, index, built, unitsPer));
  if (tooWide.length > 0) return { ok: false, why: 'infeasible', problems: tooWide };
  const crossed = checkWays(request, built);
  if (crossed.length > 0) return { ok: false, why: 'infeasible', problems: crossed };
  return { ok: true, plan: assemble(request, unitsPer, built) };
}

interface Built {
  readonly variants: Variant[];
  readonly bounds: Bounds[];
  /** Variant indices by "piece index, mirrored". */
  readonly of: Map<string, number[]>;
}

interface Bounds {
  readonly yMin: number;
  readonly yMax: number;
  readonly xMin: number;
  readonly reach: number;
}

function gridFor({ cloth, pieces, garments }: MarkerRequest): number {
  const byId = new Map(pieces.map((piece) => [piece.id, piece]));
  let area = 0;
  let extent = cloth.width;
  for (const wanted of garments.flatMap((garment) => garment.pieces)) {
    const { outline } = byId.get(wanted.piece) as MarkerPiece;
    area += (wanted.plain + (wanted.mirrored ?? 0)) * Math.abs(areaOfOutline(outline));
  }
  for (const { outline } of pieces)
    for (const [x, y] of outline) extent = Math.max(extent, Math.abs(x), Math.abs(y));
  return 2 ** Math.floor(Math.log2(UNITS_MAX / Math.max(extent, area / cloth.width)));
}

function variantsOf(request: MarkerRequest, unitsPer: number): Built {
  const built: Built = { variants: [], bounds: [], of: new Map() };
  const isMirrorWanted = new Set<string>();
  for (const wanted of request.garments.flatMap((garment) => garment.pieces)) {
    if (wanted.plain > 0) isMirrorWanted.add(`${wanted.piece},plain`);
    if ((wanted.mirrored ?? 0) > 0) isMirrorWanted.add(`${wanted.piece},mirrored`);
  }
  request.pieces.forEach((piece, shape) => {
    for (const side of ['plain', 'mirrored'] as const) {
      if (!isMirrorWanted.has(`${piece.id},${side}`)) continue;
      built.of.set(
        `${shape},${side}`,
        addVariants(built, request, piece, shape, side === 'mirrored', unitsPer),
      );
    }
  });
  return built;
}

function addVariants(
  built: Built,
  request: MarkerRequest,
  piece: MarkerPiece,
  shape: number,
  mirrored: boolean,
  unitsPer: number,
): number[] {
  const mine: number[] = [];
  for (const turn of turnsOf(piece, request.cloth.nap ?? 'free', mirrored)) {
    const corners = piece.outline.map((corner) => positioned(corner, turn, mirrored));
    const ring = cleanRing(corners.map(([x, y]): Corner => [x * unitsPer, y * unitsPer]));
    const bounds = boundsOf(corners, request, unitsPer);
    if (ring === undefined || bounds.yMax < bounds.yMin) continue;
    const direction = pileAlong(turn, mirrored) < 0 ? 1 : 0;
    const twin = (v: number): boolean =>
      isMovedCopy(built.variants[v].ring, ring) &&
      built.variants[v].direction === direction &&
      piece.match === undefined;
    const isSame = mine.some(
      (v) =>
        twin(v) ||
        (request.cloth.nap !== 'per-garment' &&
          piece.match === undefined &&
          isMovedCopy(built.variants[v].ring, ring)),
    );
    if (isSame) continue;
    const match = piece.match === undefined ? undefined : positioned(piece.match, turn, mirrored);
    built.variants.push({
      shape,
      turn,
      mirrored,
      ring,
      box: boxOf(ring),
      direction,
      ...(match === undefined ? {} : { match: { x: match[0] * unitsPer, y: match[1] * unitsPer } }),
    });
    built.bounds.push(bounds);
    mine.push(built.variants.length - 1);
  }
  return mine;
}

/**
 * The turns the grain, the tilt and the nap allow together.
 *
 * A mirror image (x -> -x) has its grain reversed, so on one-way cloth it lies with half a turn where the piece as drawn
 * lies without: left and right leg both run up the pile.
 */
function turnsOf(piece: MarkerPiece, nap: Nap, mirrored: boolean): number[] {
  const tilts = piece.tilt === undefined || piece.tilt === 0 ? [0] : [0, -piece.tilt, piece.tilt];
  const turns = piece.turns.flatMap((turn) => tilts.map((tilt) => (((turn + tilt) % 360) + 360) % 360));
  const distinct = [...new Set(turns)];
  if (nap === 'free') return distinct;
  // With a nap, a piece across the grain would show; one-way keeps the pile as drawn.
  return distinct.filter((turn) => {
    const along = pileAlong(turn, mirrored);
    return nap === 'one-way' ? along > 0.7 : Math.abs(along) > 0.7;
  });
}

/** How far the grain as drawn points along the cloth, 1 to -1. */
function pileAlong(turn: number, mirrored: boolean): number {
  return (mirrored ? -1 : 1) * Math.cos((turn * Math.PI) / 180);
}

/** Mirror, then turn about the origin. Quarter turns are exact. */
function positioned([x0, y]: Corner, turn: number, mirrored: boolean): Corner {
  const x = mirrored ? -x0 : x0;
  if (turn === 0) return [x, y];
  if (turn === 90) return [-y, x];
  if (turn === 180) return [-x, -y];
  if (turn === 270) return [y, -x];
  const [cos, sin] = [Math.cos((turn * Math.PI) / 180), Math.sin((turn * Math.PI) / 180)];
  return [x * cos - y * sin, x * sin + y * cos];
}

function boundsOf(corners: readonly Corner[], { cloth }: MarkerRequest, unitsPer: number): Bounds {
  const xs = corners.map(([x]) => x * unitsPer);
  const ys = corners.map(([, y]) => y * unitsPer);
  const low = (cloth.selvedge ?? 0) * unitsPer;
  const high = cloth.width * unitsPer - low;
  return {
    yMin: roundUp(low, Math.min(...ys)),
    yMax: -roundUp(-high, -Math.max(...ys)),
    xMin: roundUp((cloth.endMargin ?? 0) * unitsPer, Math.min(...xs)),
    reach: roundUp(Math.max(...xs), 0),
  };
}

/** The least whole number not below `edge - extreme`; on the safe side of the rounding of that difference. */
function roundUp(edge: number, extreme: number): number {
  const isExact = Number.isInteger(edge) && Number.isInteger(extreme);
  return Math.ceil(edge - extreme + (isExact ? 0 : 1e-6)) + 0;
}

function checkFits(
  request: MarkerRequest,
  piece: MarkerPiece,
  index: number,
  built: Built,
  unitsPer: number,
): MarkerProblem[] {
  const { cloth } = request;
  const usable = cloth.width - 2 * (cloth.selvedge ?? 0);
  for (const side of ['plain', 'mirrored'] as const) {
    const variants = built.of.get(`${index},${side}`);
    if (variants === undefined) continue;
    if (turnsOf(piece, cloth.nap ?? 'free', side === 'mirrored').length === 0) {
      return [
        problem(
          'NAP_FORBIDS',
          `/pieces/${index}/turns`,
          piece.turns.join(' '),
          `a turn along the nap (${cloth.nap}); for a mirror image that is 180 degrees`,
          'allow 0 and 180 degrees, or cut without nap',
        ),
      ];
    }
    if (variants.length === 0) {
      const least = Math.min(...piece.turns.map((turn) => heightOf(piece, turn)));
      return [
        problem(
          'PIECE_TOO_WIDE',
          `/pieces/${index}/outline`,
          least,
          `at most the usable width, ${usable}`,
          'take wider cloth, allow another turn, or divide the piece',
        ),
      ];
    }
    const onRepeat = variants.filter((v) => meetsRepeat(built, v, request, unitsPer));
    if (onRepeat.length === 0) {
      return [
        problem(
          'REPEAT_TOO_WIDE',
          `/pieces/${index}/match`,
          cloth.repeatAcross ?? 0,
          `a repeat that brings the matched point within ${usable} of cloth`,
          'move the matched point or take plain cloth',
        ),
      ];
    }
    built.of.set(`${index},${side}`, onRepeat);
  }
  return [];
}

function meetsRepeat(built: Built, v: number, { cloth }: MarkerRequest, unitsPer: number): boolean {
  const { match } = built.variants[v];
  const repeat = (cloth.repeatAcross ?? 0) * unitsPer;
  if (match === undefined || repeat === 0) return true;
  const k = Math.ceil((built.bounds[v].yMin + 1 + match.y) / repeat);
  return Math.round(k * repeat - match.y) <= built.bounds[v].yMax;
}

function heightOf(piece: MarkerPiece, turn: number): number {
  const ys = piece.outline.map((corner) => positioned(corner, ((turn % 360) + 360) % 360, false)[1]);
  return Math.max(...ys) - Math.min(...ys);
}

function assemble(request: MarkerRequest, unitsPer: number, built: Built): MarkerPlan {
  const { cloth } = request;
  const shapeOf = new Map(request.pieces.map((piece, index) => [piece.id, index]));
  const pieces: TaskPiece[] = [];
  const garmentOf: number[] = [];
  request.garments.forEach((garment, g) => {
    const ways = cloth.nap === 'per-garment' ? waysOf(garment, shapeOf, built) : ANY_WAY;
    for (const wanted of garment.pieces) {
      for (const [side, count] of [
        ['plain', wanted.plain],
        ['mirrored', wanted.mirrored ?? 0],
      ] as const) {
        const all = built.of.get(`${shapeOf.get(wanted.piece)},${side}`) ?? [];
        const variants = all.filter((v) => ways.includes(built.variants[v].direction));
        const bundle = cloth.nap === 'per-garment' && ways.length === 2 ? g : -1;
        for (let k = 0; k < count; k++) {
          pieces.push({ variants, bundle });
          garmentOf.push(g);
        }
      }
    }
  });
  const task: Task = {
    variants: built.variants,
    pieces,
    yMin: Float64Array.from(built.bounds, (bound) => bound.yMin),
    yMax: Float64Array.from(built.bounds, (bound) => bound.yMax),
    xMin: Float64Array.from(built.bounds, (bound) => bound.xMin),
    reach: Float64Array.from(built.bounds, (bound) => bound.reach),
    gap: (cloth.gap ?? 0) * unitsPer + GUARD_UNITS,
    guard: GUARD_UNITS,
    height: (cloth.width - 2 * (cloth.selvedge ?? 0)) * unitsPer,
    repeatX: (cloth.repeatAlong ?? 0) * unitsPer,
    repeatY: (cloth.repeatAcross ?? 0) * unitsPer,
    phaseX: 0,
    phaseY: 0,
  };
  return { request, task, unitsPer, garmentOf };
}

/** With one direction per garment, all pieces of a garment need a turn in common. */
function checkWays(request: MarkerRequest, built: Built): MarkerProblem[] {
  if (request.cloth.nap !== 'per-garment') return [];
  const shapeOf = new Map(request.pieces.map((piece, index) => [piece.id, index]));
  return request.garments.flatMap((garment, g) => {
    if (waysOf(garment, shapeOf, built).length > 0) return [];
    const allowed = 'turns that let all its pieces run one way';
    return [
      problem(
        'NAP_FORBIDS',
        `/garments/${g}`,
        garment.reference,
        allowed,
        'allow 0 degrees for all its pieces',
      ),
    ];
  });
}

const ANY_WAY: readonly number[] = [0, 1];

/** The directions of the pile that every piece of a garment can take. */
function waysOf(
  garment: Garment,
  shapeOf: ReadonlyMap<string | number, number>,
  built: Built,
): readonly number[] {
  const variantLists = garment.pieces.flatMap(({ piece, plain, mirrored = 0 }) => [
    ...(plain > 0 ? [built.of.get(`${shapeOf.get(piece)},plain`) ?? []] : []),
    ...(mirrored > 0 ? [built.of.get(`${shapeOf.get(piece)},mirrored`) ?? []] : []),
  ]);
  return ANY_WAY.filter((way) =>
    variantLists.every((list) => list.some((v) => built.variants[v].direction === way)),
  );
}

function areaOfOutline(outline: readonly Corner[]): number {
  return outline.reduce((sum, [x, y], i) => {
    const [u, v] = outline[(i + 1) % outline.length];
    return sum + (x * v - u * y) / 2;
  }, 0);
}
