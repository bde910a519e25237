import type { CutNotch, CutPiece } from '#finishing';
import { mapCurve, type Point } from '#geometry';

/** The strip of a band, from its lower end at 0 to its upper one. */
export function bandMm({ runs }: CutPiece): number {
  return Math.max(...runs.flatMap(({ curves }) => curves.map(({ p0 }) => p0.y)));
}

/** A strip whose outline is moved along; notches stay unless `withNotches`, and those that it no longer has are left out. */
export function movedAlong(piece: CutPiece, move: (y: number) => number, withNotches = false): CutPiece {
  const go = ({ x, y }: Point): Point => ({ x, y: move(y) });
  const [lowMm, highMm] = [move(0), move(bandMm(piece))];
  const notches = piece.notches.map((notch): CutNotch =>
    withNotches ? { ...notch, at: go(notch.at), foot: go(notch.foot) } : notch,
  );
  return {
    ...piece,
    cut: piece.cut.map((point) => ({ ...point, at: go(point.at) })),
    runs: piece.runs.map((run) => ({ ...run, curves: run.curves.map((curve) => mapCurve(curve, go)) })),
    lines: piece.lines.map((each) => ({ ...each, curves: each.curves.map((curve) => mapCurve(curve, go)) })),
    notches: notches.filter(({ at }) => at.y > lowMm && at.y < highMm),
  };
}

/** One end of the strip further out, or in where `byMm` is below 0; the rest of it as it was. */
export function endMoved(piece: CutPiece, end: 'low' | 'high', byMm: number): CutPiece {
  const middleMm = bandMm(piece) / 2;
  return movedAlong(piece, (y) =>
    end === 'high' && y > middleMm ? y + byMm : end === 'low' && y < middleMm ? y - byMm : y,
  );
}

/** The whole strip longer or shorter, its notches with it. */
export function stretchedBy(piece: CutPiece, byMm: number): CutPiece {
  const factor = 1 + byMm / bandMm(piece);
  return movedAlong(piece, (y) => y * factor, true);
}

export function notchesOf(piece: CutPiece, names: readonly string[]): CutPiece {
  return { ...piece, notches: piece.notches.filter(({ name }) => names.includes(name)) };
}
