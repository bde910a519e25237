import { along, DEG, distance, ringContains } from '#geometry';
import { inDegrees, inMm } from '#pattern';
import { offRing, type ForeignLine, type ForeignNotch, type ForeignPiece } from '#interchange';
import { ASTM, CHOICE, PRACTICE, type Found } from './check-report.js';
import { MARKS_MAX, type CheckSettings } from './check-settings.js';
import { hitMm } from './ring-reach.js';

/** Notches of one piece: on its edge, apart from each other, cut inwards and not into the seam. */
export function checkNotches(piece: ForeignPiece, boundary: ForeignLine, settings: CheckSettings): Found[] {
  const sewn = piece.sewLines.filter(({ closed, points }) => closed && points.length > 2);
  // Some programs set notches on the seam line instead of the cut line: all of them, then.
  const onSeam =
    piece.notches.length > 1 &&
    piece.notches.every(({ at }) =>
      sewn.some(({ points }) => offRing(at, points) <= settings.marks.notchEdgeMm),
    );
  return piece.notches.slice(0, MARKS_MAX).flatMap((notch, i) => {
    const off = onSeam ? [] : offEdge(piece, boundary, notch, settings);
    return [
      ...off,
      ...doubledNotch(piece, notch, piece.notches.slice(0, i), settings),
      // Where it is cut, and how deep, can be said only of a notch that stands on the edge.
      ...(onSeam || off.length > 0 ? [] : notchCut(piece, boundary, sewn, notch, settings)),
    ];
  });
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
  // At a corner a notch may run along an edge: outwards is what comes from the piece.
  const isIn = (mm: number): boolean => ringContains(boundary.points, along(at, inwards, mm));
  if (!isIn(INTO_MM) && isIn(-INTO_MM))
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
