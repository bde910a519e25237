import { DEG, polygonArea, turnAbout, type Point } from '#geometry';
import { inMm } from '#pattern';
import { offRing, type ForeignPiece } from '#interchange';
import { CHOICE, PRACTICE, type Found, type PieceKind } from './check-report.js';
import type { CheckSettings } from './check-settings.js';
import { isOneSide } from './piece-mark-checks.js';

const PAIRS_MAX = 20;
export const MIRROR_POINTS_MAX = 1500;

/** Left and right drawn apart: do they mirror each other? And is no piece there twice? */
export function checkPairs(
  pieces: readonly { readonly piece: ForeignPiece; readonly kind: PieceKind }[],
  settings: CheckSettings,
): Found[] {
  const found: Found[] = [];
  let compared = 0;
  for (const [i, { piece: a, kind }] of pieces.entries()) {
    for (const { piece: b, kind: other } of pieces.slice(i + 1)) {
      if (a.boundary?.closed !== true || b.boundary?.closed !== true || kind !== other) continue;
      const isPair = bareName(a) === bareName(b) && isOneSide(a) && isOneSide(b);
      const isDouble = !isPair && a.name === b.name && (a.texts['Piece Name'] ?? '') !== '';
      if (isDouble) found.push(doubledPiece(a, b));
      if (isPair && ++compared === PAIRS_MAX + 1) found.push(morePairs(b));
      if (!isPair || compared > PAIRS_MAX) continue;
      const worst = mirrorDifference(a, b);
      if (worst.mm > settings.mirrorMm) found.push(differs(a, b, worst, settings));
    }
  }
  return found;
}

function bareName({ name }: ForeignPiece): string {
  return name
    .toLowerCase()
    .replace(/(^|[^a-z])(left|right|lh|rh|l|r)(?=[^a-z]|$)/g, '$1')
    .replace(/[^a-z0-9]+/g, ' ')
    .trim();
}

function doubledPiece(a: ForeignPiece, b: ForeignPiece): Found {
  return {
    code: 'PIECE_DOUBLED',
    level: 'warning',
    message: `${b.name} is there twice: in blocks ${a.block} and ${b.block}.`,
    action: 'Leave one out, name left and right, or give both their size.',
    place: {
      piece: b.block,
      ...(b.boundary === undefined ? {} : { at: b.boundary.points[0] }),
      line: b.line,
    },
    basis: PRACTICE,
  };
}

function morePairs({ block, line }: ForeignPiece): Found {
  return {
    code: 'PAIRS_NOT_COMPARED',
    level: 'warning',
    message: `More than ${PAIRS_MAX} pairs of a left and a right are named; the others were not laid on each other.`,
    action: 'Send one style a file, or name each left and right after its own piece.',
    place: { piece: block, line },
    basis: CHOICE,
  };
}

interface Difference {
  readonly mm: number;
  readonly at: Point;
}

/** The farthest point of b from a mirrored, both upright by their grain and on their middles, in the better of both ways up. */
function mirrorDifference(a: ForeignPiece, b: ForeignPiece): Difference {
  const placedB = upright(b);
  const ways = [1, -1].map((flip) => {
    const mirror = upright(a).points.map(({ x, y }) => ({ x: -flip * x, y: flip * y }));
    const step = Math.max(1, Math.ceil(placedB.points.length / MIRROR_POINTS_MAX));
    let worst: Difference = { mm: 0, at: placedB.given[0] };
    for (let i = 0; i < placedB.points.length; i += step) {
      const mm = offRing(placedB.points[i], mirror);
      if (mm > worst.mm) worst = { mm, at: placedB.given[i] };
    }
    return worst;
  });
  return ways[0].mm <= ways[1].mm ? ways[0] : ways[1];
}

function upright({ boundary, grain }: ForeignPiece): {
  readonly points: readonly Point[];
  readonly given: readonly Point[];
} {
  const given = boundary?.points ?? [];
  const angle = grain === undefined ? 0 : Math.atan2(grain[1].x - grain[0].x, grain[1].y - grain[0].y);
  const turned = given.map((p) => (Math.abs(angle) < 1e-6 * DEG ? p : turnAbout(p, { x: 0, y: 0 }, angle)));
  const middle = centreOf(turned);
  return { given, points: turned.map(({ x, y }) => ({ x: x - middle.x, y: y - middle.y })) };
}

/** The centre of the area, which does not depend on where the points of an outline lie. */
function centreOf(points: readonly Point[]): Point {
  const area = polygonArea(points);
  let [x, y] = [0, 0];
  for (let i = 0, j = points.length - 1; i < points.length; j = i++) {
    const twice = points[j].x * points[i].y - points[i].x * points[j].y;
    x += (points[j].x + points[i].x) * twice;
    y += (points[j].y + points[i].y) * twice;
  }
  return { x: x / (6 * area), y: y / (6 * area) };
}

function differs(
  a: ForeignPiece,
  b: ForeignPiece,
  { mm, at }: Difference,
  { mirrorMm }: CheckSettings,
): Found {
  return {
    code: 'MIRRORED_PAIR_DIFFERS',
    level: 'stop',
    message: `${b.name} is not ${a.name} mirrored: laid on each other they differ by ${inMm(mm)}.`,
    action: 'Draw one of the two and mirror it, or say that they are meant to differ.',
    place: { piece: b.block, part: 'cut line', at },
    numbers: { differenceMm: mm },
    tolerance: { value: mirrorMm, unit: 'mm' },
    basis: CHOICE,
  };
}
