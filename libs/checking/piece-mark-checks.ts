import {
  along,
  angleBetween,
  DEG,
  direction,
  distance,
  leftOf,
  norm,
  polygonArea,
  ringContains,
  way,
  type Point,
} from '#geometry';
import { inDegrees, inMm } from '#pattern';
import { offRing, type ForeignLine, type ForeignNotch, type ForeignPiece } from '#interchange';
import { ASTM, CHOICE, PRACTICE, type Found, type PieceKind } from './check-report.js';
import type { CheckSettings } from './check-settings.js';
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

function checkTexts(piece: ForeignPiece, kind: PieceKind): Found[] {
  const place = { piece: piece.block, line: piece.line };
  const faults: Found[] = [];
  if ((piece.texts['Piece Name'] ?? '') === '')
    faults.push({
      code: 'PIECE_NAME_MISSING',
      level: 'warning',
      message: `The piece in block ${piece.block} has no text "Piece Name:".`,
      action: 'Name the piece.',
      place,
      basis: ASTM,
    });
  const { quantity } = piece;
  if (quantity === undefined || quantity.asDrawn + quantity.mirrored === 0)
    faults.push({
      code: 'QUANTITY_MISSING',
      level: 'warning',
      message:
        piece.texts['Quantity'] === undefined
          ? `Nothing says how many times ${piece.name} is cut.`
          : `The quantity of ${piece.name} is "${piece.texts['Quantity'].slice(0, 20)}", which does not say how many right and left.`,
      action: 'Write the quantity as right,left: "Quantity:1,1" for a pair.',
      place,
      basis: ASTM,
    });
  else if (
    (kind === 'front' || kind === 'back') &&
    quantity.asDrawn !== quantity.mirrored &&
    !isOneSide(piece)
  )
    faults.push({
      code: 'PAIR_NOT_MIRRORED',
      level: 'stop',
      message: `${piece.name} is cut ${quantity.asDrawn} times as drawn and ${quantity.mirrored} times mirrored: that makes no pair of legs.`,
      action: 'Write "Quantity:1,1", or draw left and right and name them so.',
      place,
      numbers: { asDrawn: quantity.asDrawn, mirrored: quantity.mirrored },
      basis: ASTM,
    });
  return faults;
}

/** A piece that is named as the left or the right one is cut once. */
export function isOneSide({ name, block }: ForeignPiece): boolean {
  return /(^|[^a-z])(left|right|l|r|lh|rh)([^a-z]|$)/i.test(`${name} ${block}`);
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

/** More marks of one kind than this on a piece are no marks; each is laid against the whole outline. */
export const MARKS_MAX = 300;

/** How far a point lies outside of a closed line; 0 within. */
export function outsideBy(p: Point, { points }: ForeignLine): number {
  return ringContains(points, p) ? 0 : offRing(p, points);
}

function checkNotches(piece: ForeignPiece, boundary: ForeignLine, settings: CheckSettings): Found[] {
  const sewn = piece.sewLines.filter(({ closed, points }) => closed && points.length > 2);
  // Some programs set notches on the seam line instead of the cut line: all of them, then.
  const onSeam =
    piece.notches.length > 1 &&
    piece.notches.every(({ at }) =>
      sewn.some(({ points }) => offRing(at, points) <= settings.marks.notchEdgeMm),
    );
  return piece.notches
    .slice(0, MARKS_MAX)
    .flatMap((notch, i) => [
      ...(onSeam ? [] : offEdge(piece, boundary, notch, settings)),
      ...doubledNotch(piece, notch, piece.notches.slice(0, i), settings),
      ...(onSeam ? [] : notchCut(piece, boundary, sewn, notch, settings)),
    ]);
}

function notchPlace(piece: ForeignPiece, { at, line }: ForeignNotch) {
  return { piece: piece.block, part: 'notch', at, line };
}

function offEdge(
  piece: ForeignPiece,
  { points }: ForeignLine,
  notch: ForeignNotch,
  { marks }: CheckSettings,
): Found[] {
  const offMm = offRing(notch.at, points);
  if (offMm <= marks.notchEdgeMm) return [];
  return [
    {
      code: 'NOTCH_OFF_EDGE',
      level: 'warning',
      message: `A notch of ${piece.name} lies ${inMm(offMm)} off the edge.`,
      action: 'Set it on the cut line.',
      place: notchPlace(piece, notch),
      numbers: { offMm },
      tolerance: { value: marks.notchEdgeMm, unit: 'mm' },
      basis: CHOICE,
    },
  ];
}

function doubledNotch(
  piece: ForeignPiece,
  notch: ForeignNotch,
  before: readonly ForeignNotch[],
  { marks }: CheckSettings,
): Found[] {
  const twin = before.find(({ at }) => distance(at, notch.at) < marks.notchApartMm);
  if (twin === undefined) return [];
  const apartMm = distance(twin.at, notch.at);
  return [
    {
      code: 'NOTCH_DOUBLED',
      level: 'warning',
      message: `Two notches of ${piece.name} lie ${apartMm.toFixed(2)} mm apart.`,
      action: 'Leave one of them out.',
      place: notchPlace(piece, notch),
      numbers: { apartMm },
      tolerance: { value: marks.notchApartMm, unit: 'mm' },
      basis: CHOICE,
    },
  ];
}

/** Which way the notch is cut, and whether it reaches the seam. */
function notchCut(
  piece: ForeignPiece,
  boundary: ForeignLine,
  sewn: readonly ForeignLine[],
  notch: ForeignNotch,
  { marks }: CheckSettings,
): Found[] {
  const { at, depthMm, angleDeg } = notch;
  if (angleDeg === undefined || depthMm <= 0) return [];
  const inwards = { x: Math.cos(angleDeg * DEG), y: Math.sin(angleDeg * DEG) };
  if (!ringContains(boundary.points, along(at, inwards, INTO_MM)))
    return [
      {
        code: 'NOTCH_OUTWARDS',
        level: 'warning',
        message: `A notch of ${piece.name} is cut outwards, at ${inDegrees(angleDeg)}.`,
        action: 'Turn it so that it points into the piece.',
        place: notchPlace(piece, notch),
        numbers: { angleDeg },
        basis: ASTM,
      },
    ];
  const toSeamMm = Math.min(...sewn.map(({ points }) => hitMm(at, inwards, points)), Infinity);
  if (!Number.isFinite(toSeamMm) || depthMm <= toSeamMm - marks.notchLeaveMm) return [];
  return [
    {
      code: 'NOTCH_TOO_DEEP',
      level: depthMm > toSeamMm ? 'stop' : 'warning',
      message: `A notch of ${piece.name} is ${inMm(depthMm)} deep in an allowance of ${inMm(toSeamMm)}.`,
      action: 'Cut it less deep, or the seam will tear there.',
      place: notchPlace(piece, notch),
      numbers: { depthMm, allowanceMm: toSeamMm, leftMm: toSeamMm - depthMm },
      tolerance: { value: marks.notchLeaveMm, unit: 'mm' },
      basis: PRACTICE,
    },
  ];
}

/** Far enough in to be past the rounding of the edge. */
const INTO_MM = 0.5;

/** Where a ray first meets a closed line. */
export function hitMm(from: Point, direction: Point, points: readonly Point[]): number {
  let least = Infinity;
  for (let i = 0, j = points.length - 1; i < points.length; j = i++) {
    const side = way(points[j], points[i]);
    const determinant = direction.x * side.y - direction.y * side.x;
    if (Math.abs(determinant) < 1e-12) continue;
    const reach = way(from, points[j]);
    const mm = (reach.x * side.y - reach.y * side.x) / determinant;
    const share = (reach.x * direction.y - reach.y * direction.x) / determinant;
    if (mm >= -1e-9 && share >= -1e-9 && share <= 1 + 1e-9) least = Math.min(least, mm);
  }
  return least;
}

function checkHoles(piece: ForeignPiece, boundary: ForeignLine): Found[] {
  const sewn = piece.sewLines.filter(({ closed, points }) => closed && points.length > 2);
  const upright =
    piece.grain === undefined || distance(...piece.grain) < 1 ? { x: 0, y: 1 } : direction(...piece.grain);
  const across = leftOf(upright);
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
    // A hole in an open dart lies outside of the sew line as well, but has it on both sides.
    const inDart = sewn.some(({ points }) =>
      [1, -1].every((side) => hitMm(at, { x: side * across.x, y: side * across.y }, points) < DART_HALF_MM),
    );
    if (sewn.length === 0 || inDart || sewn.some(({ points }) => ringContains(points, at))) return [];
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

/** Half the widest dart near its point. */
const DART_HALF_MM = 25;

function checkInnerLines(piece: ForeignPiece, boundary: ForeignLine, { marks }: CheckSettings): Found[] {
  return [...piece.internalLines, ...piece.cutouts].slice(0, MARKS_MAX).flatMap((line): Found[] => {
    const step = Math.ceil(line.points.length / MARKS_MAX);
    const outside = line.points
      .filter((_, i) => i % step === 0 || i + 1 === line.points.length)
      .map((at) => ({ at, mm: outsideBy(at, boundary) }))
      .reduce((worst, each) => (each.mm > worst.mm ? each : worst));
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

const POINTS_SAID_MAX = 6;

/** Turn and curve points that lie on no line they could belong to. */
function checkPoints(piece: ForeignPiece, { marks }: CheckSettings): Found[] {
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

function checkValidation(piece: ForeignPiece, boundary: ForeignLine, { marks }: CheckSettings): Found[] {
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

/** Single lines and arcs were put together here; only a polyline has a direction of its own. */
function hasDirection({ kinds }: ForeignLine): boolean {
  return kinds.every((kind) => kind.includes('POLYLINE'));
}

/** Which way the outlines of a pattern run: one that runs the other way was mirrored by mistake, or its offset will be. */
export function checkDirections(pieces: readonly ForeignPiece[]): Found[] {
  const signed = pieces.flatMap((piece) =>
    piece.boundary?.closed === true && hasDirection(piece.boundary)
      ? [{ piece, clockwise: polygonArea(piece.boundary.points) < 0 }]
      : [],
  );
  const clockwise = signed.filter((each) => each.clockwise).length;
  const usual = 2 * clockwise >= signed.length;
  return signed.flatMap(({ piece, clockwise: runs }): Found[] => {
    const inner = piece.sewLines.find((line) => line.closed && line.points.length > 2 && hasDirection(line));
    const against = inner !== undefined && polygonArea(inner.points) < 0 !== runs;
    if (!against && (runs === usual || signed.length < 3)) return [];
    return [
      {
        code: 'OUTLINE_REVERSED',
        level: 'warning',
        message: `The cut line of ${piece.name} runs ${runs ? 'clockwise' : 'counter-clockwise'}, against ${against ? 'its sew line' : 'those of the other pieces'}.`,
        action: 'Turn it round: a cutter would compensate to the wrong side.',
        place: {
          piece: piece.block,
          part: 'cut line',
          ...(piece.boundary === undefined
            ? {}
            : { at: piece.boundary.points[0], line: piece.boundary.line }),
        },
        basis: PRACTICE,
      },
    ];
  });
}
