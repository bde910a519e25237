import type { Point } from '#geometry';
import { inMm } from '#pattern';
import { offRing, type ForeignLine, type ForeignPiece } from '#interchange';
import { ASTM, type Found } from './check-report.js';
import { MARKS_MAX, type CheckSettings } from './check-settings.js';
import { POINTS_MAX } from './seam-outline.js';

const POINTS_SAID_MAX = 6;

/** Turn and curve points that lie on no line they could belong to. */
export function checkPoints(piece: ForeignPiece, { marks }: CheckSettings): Found[] {
  if (piece.turnPoints.length + piece.curvePoints.length === 0) return [];
  const rings = [piece.boundary, ...piece.sewLines, ...piece.internalLines, ...piece.cutouts].flatMap(
    (line) => (line === undefined ? [] : [line]),
  );
  const vertices = new Set(
    rings.flatMap(({ points, repeats, doubled }) => [...points, ...repeats, ...doubled].map(pointKey)),
  );
  const off = [...piece.turnPoints, ...piece.curvePoints]
    .filter((p) => !vertices.has(pointKey(p)))
    .slice(0, MARKS_MAX)
    .map((at) => ({ at, offMm: Math.min(...rings.map(({ points }) => offRing(at, points))) }))
    .filter(({ offMm }) => offMm > marks.pointMm);
  return off.slice(0, POINTS_SAID_MAX).map(({ at, offMm }) => ({
    code: 'POINT_OFF_LINE',
    level: 'warning',
    message: `A turn or curve point of ${piece.name} lies ${inMm(offMm)} off every line.`,
    action: 'Set it on the line it belongs to, or leave it out.',
    place: {
      piece: piece.block,
      part: 'turn or curve point',
      at,
      ...(at.source === undefined ? {} : { line: at.source.xLine }),
    },
    numbers: { offMm, count: off.length },
    tolerance: { value: marks.pointMm, unit: 'mm' },
    basis: ASTM,
  }));
}

function pointKey({ x, y }: Point): string {
  return `${x.toFixed(3)} ${y.toFixed(3)}`;
}

/** The cut line against the dense curve that the file gives of it (layer 84). */
export function checkValidation(
  piece: ForeignPiece,
  boundary: ForeignLine,
  { marks }: CheckSettings,
): Found[] {
  const dense = piece.validation.find(
    ({ layer, closed, points }) => layer === 84 && closed && points.length > 2,
  );
  if (dense === undefined || dense.points.length > 4 * POINTS_MAX) return [];
  const worst = boundary.points
    .map((at) => ({ at, mm: offRing(at, dense.points) }))
    .reduce((most, each) => (each.mm > most.mm ? each : most));
  if (worst.mm <= marks.validationMm) return [];
  return [
    {
      code: 'VALIDATION_CURVE_OFF',
      level: 'warning',
      message: `The cut line of ${piece.name} lies ${inMm(worst.mm)} off its own validation curve.`,
      action: 'Export the piece again: one of the two is old.',
      place: { piece: piece.block, part: 'cut line', at: worst.at, line: dense.line },
      numbers: { offMm: worst.mm },
      tolerance: { value: marks.validationMm, unit: 'mm' },
      basis: ASTM,
    },
  ];
}
