import type { CheckedPattern } from '#checking';
import type { CutNotch, CutPiece } from '#finishing';
import { distance, flatten, lerp, type Curve, type Point } from '#geometry';
import type { ForeignPiece } from '#interchange';

/** How far what was read lies from what was drawn, at most, over all pieces of a pattern. */
export interface Drift {
  readonly cutLineMm: number;
  readonly sewLineMm: number;
  readonly innerLinesMm: number;
  readonly notchesMm: number;
  readonly notchDeg: number;
  /** Of depth and width. */
  readonly notchSizeMm: number;
  readonly holesMm: number;
  readonly grainMm: number;
}

/**
 * The drawn pieces against the points that were read, piece by piece.
 *
 * Lines are compared in both directions as dense chords, so that neither a missing nor an additional part is overlooked.
 * What has no measure (quantities, shapes of notches, how many of each there are) is said in words.
 */
export function driftOf(
  drawn: readonly CutPiece[],
  { pieces }: CheckedPattern,
): { readonly drift: Drift; readonly differences: readonly string[] } {
  const drifts: Drift[] = [];
  const differences: string[] = [];
  const blocks = pieces.map(({ block }) => block);
  if (blocks.join() !== drawn.map(({ id }) => id.toUpperCase()).join())
    differences.push(`the pieces are ${blocks.join(', ')}`);
  for (const piece of drawn) {
    const read = pieces.find(({ block }) => block === piece.id.toUpperCase());
    if (read === undefined) continue;
    differences.push(...countsOff(piece, read).map((words) => `${piece.name}: ${words}`));
    drifts.push(driftOfPiece(piece, read));
  }
  const worst = (name: keyof Drift): number => Math.max(0, ...drifts.map((each) => each[name]));
  return {
    differences,
    drift: {
      cutLineMm: worst('cutLineMm'),
      sewLineMm: worst('sewLineMm'),
      innerLinesMm: worst('innerLinesMm'),
      notchesMm: worst('notchesMm'),
      notchDeg: worst('notchDeg'),
      notchSizeMm: worst('notchSizeMm'),
      holesMm: worst('holesMm'),
      grainMm: worst('grainMm'),
    },
  };
}

function countsOff(piece: CutPiece, read: ForeignPiece): string[] {
  const pairs: readonly (readonly [string, unknown, unknown])[] = [
    ['name', piece.name.slice(0, 20), read.name],
    ['right', piece.quantity.asDrawn, read.quantity?.asDrawn],
    ['left', piece.quantity.mirrored, read.quantity?.mirrored],
    ['notches', piece.notches.map(shapeOf).join(), read.notches.map(({ shape }) => shape).join()],
    ['inner lines', piece.lines.length, read.internalLines.length],
    ['cutouts', 0, read.cutouts.length],
    ['drill holes', piece.drillHoles.length, read.drillHoles.length],
    ['sew lines', 1, read.sewLines.length],
    ['closed', true, read.boundary?.closed === true && read.sewLines.every(({ closed }) => closed)],
  ];
  return pairs.flatMap(([what, wanted, found]) =>
    wanted === found ? [] : [`${what} ${String(found)} instead of ${String(wanted)}`],
  );
}

function shapeOf({ widthMm }: CutNotch): string {
  return widthMm > 0 ? 'v' : 'slit';
}

function driftOfPiece(piece: CutPiece, read: ForeignPiece): Drift {
  const sewn = sewnRing(piece);
  return {
    cutLineMm: ringsApartMm(
      piece.cut.map(({ at }) => at),
      read.boundary?.points ?? [],
    ),
    sewLineMm: ringsApartMm(sewn.flatMap(chords), read.sewLines[0]?.points ?? []),
    innerLinesMm: Math.max(
      0,
      ...piece.lines.map(({ curves }, i) =>
        chainsApartMm(curves.map(chords), [read.internalLines[i]?.points ?? []]),
      ),
    ),
    notchesMm: pairedMm(
      piece.notches.map(({ at }) => at),
      read.notches.map(({ at }) => at),
    ),
    notchDeg: Math.max(
      0,
      ...piece.notches.map((notch, i) => offDeg(notch.inwards, read.notches[i]?.angleDeg)),
    ),
    notchSizeMm: Math.max(
      0,
      ...piece.notches.flatMap(({ depthMm, widthMm }, i) => [
        Math.abs(depthMm - (read.notches[i]?.depthMm ?? NaN)),
        Math.abs(widthMm - (read.notches[i]?.widthMm ?? NaN)),
      ]),
    ),
    holesMm: pairedMm(
      piece.drillHoles.map(({ at }) => at),
      read.drillHoles.map(({ at }) => at),
    ),
    grainMm: pairedMm(piece.grain, read.grain ?? []),
  };
}

/** The seam line closed: runs in order, and the dart whose leg begins where a run ends. */
function sewnRing({ runs, darts }: CutPiece): Curve[] {
  return runs.flatMap(({ curves }) => {
    const { p0: _, ...last } = curves[curves.length - 1];
    const end = last.kind === 'line' ? last.p1 : last.p3;
    return [...curves, ...(darts.find(([leg]) => distance(leg.p0, end) < 1e-3) ?? [])];
  });
}

const CHORD_MM = 0.002;

function chords(curve: Curve): Point[] {
  return flatten(curve, CHORD_MM);
}

function ringsApartMm(a: readonly Point[], b: readonly Point[]): number {
  const [first, second] = [a, b].map((ring) => [[...ring, ...ring.slice(0, 1)]]);
  return chainsApartMm(first, second);
}

function chainsApartMm(a: readonly (readonly Point[])[], b: readonly (readonly Point[])[]): number {
  const [first, second] = [a, b].map((chains) => new Sides(chains));
  return Math.max(...a.flat().map((p) => second.offMm(p)), ...b.flat().map((p) => first.offMm(p)));
}

/** The sides of chains by the cells they touch: a whole pattern is compared side by side otherwise. */
class Sides {
  private readonly cells = new Map<string, (readonly [Point, Point])[]>();

  constructor(chains: readonly (readonly Point[])[]) {
    for (const chain of chains)
      for (const [i, to] of chain.entries()) {
        if (i === 0) continue;
        const from = chain[i - 1];
        const steps = Math.max(1, Math.ceil(distance(from, to) / (CELL_MM / 2)));
        for (let k = 0; k <= steps; k++) this.add(keyOf(cellOf(lerp(from, to, k / steps))), [from, to]);
      }
  }

  private add(key: string, side: readonly [Point, Point]): void {
    const cell = this.cells.get(key) ?? [];
    this.cells.set(key, cell);
    const last = cell[cell.length - 1];
    if (last === undefined || last[0] !== side[0] || last[1] !== side[1]) cell.push(side);
  }

  /** Infinity where nothing lies within a cell's width. */
  offMm(p: Point): number {
    let least = Infinity;
    const [column, row] = cellOf(p);
    for (const dx of [-1, 0, 1])
      for (const dy of [-1, 0, 1])
        for (const [from, to] of this.cells.get(keyOf([column + dx, row + dy])) ?? [])
          least = Math.min(least, offSideMm(p, from, to));
    return least;
  }
}

const CELL_MM = 8;

function cellOf({ x, y }: Point): [column: number, row: number] {
  return [Math.floor(x / CELL_MM), Math.floor(y / CELL_MM)];
}

function keyOf([column, row]: readonly [number, number]): string {
  return `${column} ${row}`;
}

function offSideMm(p: Point, from: Point, to: Point): number {
  const [sx, sy] = [to.x - from.x, to.y - from.y];
  const t = ((p.x - from.x) * sx + (p.y - from.y) * sy) / Math.max(1e-18, sx * sx + sy * sy);
  const share = Math.min(1, Math.max(0, t));
  return Math.hypot(p.x - from.x - share * sx, p.y - from.y - share * sy);
}

function pairedMm(drawn: readonly Point[], read: readonly Point[]): number {
  return Math.max(0, ...drawn.map((at, i) => (read[i] === undefined ? Infinity : distance(at, read[i]))));
}

function offDeg({ x, y }: Point, angleDeg: number | undefined): number {
  if (angleDeg === undefined) return Infinity;
  const off = ((Math.atan2(y, x) * 180) / Math.PI - angleDeg) % 360;
  return Math.min(Math.abs(off), 360 - Math.abs(off));
}
