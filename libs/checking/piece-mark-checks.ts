import { angleBetween, DEG, distance, norm, ringContains, way } from '#geometry';
import { inDegrees, inMm } from '#pattern';
import type { ForeignLine, ForeignPiece } from '#interchange';
import { ASTM, CHOICE, PRACTICE, type Found, type PieceKind } from './check-report.js';
import { MARKS_MAX, type CheckSettings } from './check-settings.js';
import { inOpenDart, openDarts } from './open-darts.js';
import { checkNotches } from './piece-notch-checks.js';
import { checkPoints, checkValidation } from './piece-point-checks.js';
import { checkTexts } from './piece-texts.js';
import { outsideBy } from './ring-reach.js';
import { POINTS_MAX } from './seam-outline.js';

/** Every fault of what is drawn on a piece: notches, holes, lines, grain, texts, points, validation curves. */
export function checkMarks(piece: ForeignPiece, kind: PieceKind, settings: CheckSettings): Found[] {
  const { boundary } = piece;
  return [
    ...checkTexts(piece, kind),
    ...checkGrain(piece),
    ...(boundary?.closed === true && boundary.points.length <= POINTS_MAX
      ? [
          ...checkNotches(piece, boundary, settings),
          ...checkHoles(piece, boundary),
          ...checkInnerLines(piece, boundary, settings),
          ...checkPoints(piece, settings),
          ...checkValidation(piece, boundary, settings),
        ]
      : []),
  ];
}

function checkGrain(piece: ForeignPiece): Found[] {
  const { grain, boundary } = piece;
  if (grain === undefined || distance(...grain) < 1)
    return [
      {
        code: 'GRAIN_MISSING',
        level: 'stop',
        message: `${piece.name} has no grain line.`,
        action: 'Draw one, as a LINE on layer 7.',
        place: {
          piece: piece.block,
          part: 'grain',
          ...(boundary === undefined ? {} : { at: boundary.points[0] }),
          line: piece.line,
        },
        basis: ASTM,
      },
    ];
  if (boundary?.closed !== true) return [];
  const outside = grain.find((p) => outsideBy(p, boundary) > GRAIN_OUTSIDE_MM);
  if (outside === undefined) return [];
  return [
    {
      code: 'GRAIN_OUTSIDE',
      level: 'warning',
      message: `The grain line of ${piece.name} ends ${inMm(outsideBy(outside, boundary))} outside of the piece.`,
      action: 'Draw it within the piece.',
      place: { piece: piece.block, part: 'grain', at: outside },
      numbers: { outsideMm: outsideBy(outside, boundary) },
      tolerance: { value: GRAIN_OUTSIDE_MM, unit: 'mm' },
      basis: PRACTICE,
    },
  ];
}

const GRAIN_OUTSIDE_MM = 5;

function checkHoles(piece: ForeignPiece, boundary: ForeignLine): Found[] {
  const sewn = piece.sewLines.filter(({ closed, points }) => closed && points.length > 2);
  const darts = sewn.flatMap(({ points }) => openDarts(points));
  return piece.drillHoles.slice(0, MARKS_MAX).flatMap(({ at, line }): Found[] => {
    const place = { piece: piece.block, part: 'drill hole', at, line };
    const outsideMm = outsideBy(at, boundary);
    if (outsideMm > 0)
      return [
        {
          code: 'DRILL_OUTSIDE',
          level: 'stop',
          message: `A drill hole of ${piece.name} lies ${inMm(outsideMm)} outside of the piece.`,
          action: 'Move it into the piece.',
          place,
          numbers: { outsideMm },
          basis: PRACTICE,
        },
      ];
    // A hole in an open dart lies outside of the sew line as well: on neither side of a seam that is sewn.
    if (sewn.length === 0 || inOpenDart(at, darts) || sewn.some(({ points }) => ringContains(points, at)))
      return [];
    return [
      {
        code: 'DRILL_IN_ALLOWANCE',
        level: 'warning',
        message: `A drill hole of ${piece.name} lies in the seam allowance.`,
        action: 'Move it inside of the seam.',
        place,
        basis: PRACTICE,
      },
    ];
  });
}

function checkInnerLines(piece: ForeignPiece, boundary: ForeignLine, { marks }: CheckSettings): Found[] {
  const darts = openDarts(boundary.points);
  return [...piece.internalLines, ...piece.cutouts].slice(0, MARKS_MAX).flatMap((line): Found[] => {
    const step = Math.ceil(line.points.length / MARKS_MAX);
    const outside = line.points
      .filter((_, i) => i % step === 0 || i + 1 === line.points.length)
      .map((at) => ({ at, mm: outsideBy(at, boundary) }))
      .filter(({ at, mm }) => mm === 0 || !inOpenDart(at, darts))
      .reduce((worst, each) => (each.mm > worst.mm ? each : worst), { at: line.points[0], mm: 0 });
    if (outside.mm <= marks.lineOutsideMm) return [];
    return [
      {
        code: 'LINE_OUTSIDE',
        level: 'warning',
        message: `A line drawn on ${piece.name} runs ${inMm(outside.mm)} out of the piece.`,
        action: 'End it at the cut line.',
        place: { piece: piece.block, part: 'internal line', at: outside.at, line: line.line },
        numbers: { outsideMm: outside.mm },
        tolerance: { value: marks.lineOutsideMm, unit: 'mm' },
        basis: CHOICE,
      },
    ];
  });
}

/** The angle between the grain of a leg and its crease, where both are drawn. */
export function checkCrease(
  piece: ForeignPiece,
  crease: ForeignLine | undefined,
  { marks }: CheckSettings,
): Found[] {
  if (crease === undefined || piece.grain === undefined || distance(...piece.grain) < 1) return [];
  const grain = way(...piece.grain);
  const folded = way(crease.points[0], crease.points[crease.points.length - 1]);
  if (norm(folded) === 0) return [];
  const angle = angleBetween(grain, folded);
  const offDeg = Math.min(angle, Math.PI - angle) / DEG;
  if (offDeg <= marks.grainDeg) return [];
  return [
    {
      code: 'GRAIN_OFF_CREASE',
      level: 'warning',
      message: `The grain of ${piece.name} is ${inDegrees(offDeg)} off its crease: the leg will twist.`,
      action: 'Draw the grain parallel to the crease.',
      place: { piece: piece.block, part: 'grain', at: piece.grain[0] },
      numbers: { offDeg },
      tolerance: { value: marks.grainDeg, unit: 'degrees' },
      basis: PRACTICE,
    },
  ];
}
