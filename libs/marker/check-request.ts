import { findTouch } from './simple-outline.js';
import type { MarkerPiece, MarkerProblem, MarkerRequest } from './request.js';

/** More than this is no marker any table holds, and the pair table would not fit in memory. */
export const PIECES_MAX = 2000;
/** Corners per outline; flattened curves need about 60. */
export const CORNERS_MAX = 400;
/** Size of an outline against the cloth width, so that one grid serves both. */
const TURNS_MAX = 16;
const COORDINATE_MAX = 1e9;

/** Everything in a request that cannot be laid, apart from pieces too wide for the cloth (see planMarker). */
export function checkRequest(request: MarkerRequest): MarkerProblem[] {
  return [...checkCloth(request), ...request.pieces.flatMap(checkPiece), ...checkDemand(request)];
}

function checkCloth({ cloth }: MarkerRequest): MarkerProblem[] {
  const problems: MarkerProblem[] = [];
  const margins = [
    'selvedge',
    'endMargin',
    'gap',
    'repeatAlong',
    'repeatAcross',
    'pricePerMetre',
    'endAllowance',
  ] as const;
  if (!(cloth.width > 0 && cloth.width < COORDINATE_MAX)) {
    problems.push(
      problem('CLOTH_WIDTH', '/cloth/width', cloth.width, 'more than 0', 'give the width of the cloth'),
    );
  }
  for (const name of margins) {
    const value = cloth[name] ?? 0;
    if (value >= 0 && value < COORDINATE_MAX) continue;
    problems.push(
      problem('CLOTH_NUMBER', `/cloth/${name}`, value, '0 or more', 'give a distance, or leave it out'),
    );
  }
  if (cloth.lengthMax !== undefined && !(cloth.lengthMax > 0)) {
    problems.push(
      problem(
        'CLOTH_LENGTH',
        '/cloth/lengthMax',
        cloth.lengthMax,
        'more than 0',
        'leave it out for any length',
      ),
    );
  }
  if (2 * (cloth.selvedge ?? 0) >= cloth.width && cloth.width > 0) {
    const allowed = `less than half the width, ${cloth.width / 2}`;
    problems.push(
      problem('SELVEDGE_TOO_WIDE', '/cloth/selvedge', cloth.selvedge ?? 0, allowed, 'lower the selvedge'),
    );
  }
  if (cloth.layup === 'folded' || cloth.layup === 'tubular') {
    const action =
      'open the cloth to a single layer: on a fold the two layers are cut as mirror images, so a lay needs whole ' +
      'pairs and half pieces, which this engine does not lay';
    problems.push(problem('LAYUP_NOT_LAID', '/cloth/layup', cloth.layup, 'single', action));
  }
  return problems;
}

function checkPiece(piece: MarkerPiece, index: number): MarkerProblem[] {
  const at = `/pieces/${index}`;
  const { turns, tilt = 0 } = piece;
  const problems: MarkerProblem[] = [];
  if (turns.length === 0 || turns.length > TURNS_MAX || !turns.every(Number.isFinite)) {
    const allowed = `1 to ${TURNS_MAX} angles in degrees`;
    problems.push(
      problem(
        'TURNS',
        `${at}/turns`,
        turns.length,
        allowed,
        'list the turns the grain allows, e.g. 0 and 180',
      ),
    );
  }
  if (!(tilt >= 0 && tilt <= 10)) {
    problems.push(
      problem('TILT', `${at}/tilt`, tilt, '0 to 10 degrees', 'a larger lean is a turn: list it in turns'),
    );
  }
  return [...problems, ...checkOutline(piece, at)];
}

function checkOutline({ outline }: MarkerPiece, at: string): MarkerProblem[] {
  if (outline.length < 3 || outline.length > CORNERS_MAX) {
    const allowed = `3 to ${CORNERS_MAX} corners`;
    return [
      problem(
        'OUTLINE_CORNERS',
        `${at}/outline`,
        outline.length,
        allowed,
        'draw the outline with fewer chords',
      ),
    ];
  }
  const stray = outline.findIndex(
    ([x, y]) => !(Math.abs(x) < COORDINATE_MAX && Math.abs(y) < COORDINATE_MAX),
  );
  if (stray >= 0) {
    return [
      problem(
        'OUTLINE_NUMBER',
        `${at}/outline/${stray}`,
        String(outline[stray]),
        'two finite numbers',
        'correct the corner',
      ),
    ];
  }
  const touch = findTouch(outline);
  if (touch === undefined) return [];
  const action = `side ${touch[0]} meets side ${touch[1]}: part them so that the outline runs round once`;
  return [
    problem(
      'OUTLINE_CROSSES',
      `${at}/outline/${touch[0]}`,
      `side ${touch[0]} meets side ${touch[1]}`,
      'a simple outline with area',
      action,
    ),
  ];
}

function checkDemand(request: MarkerRequest): MarkerProblem[] {
  const problems: MarkerProblem[] = [];
  const known = new Set(request.pieces.map((piece) => piece.id));
  if (known.size < request.pieces.length) {
    problems.push(
      problem(
        'PIECE_TWICE',
        '/pieces',
        request.pieces.length - known.size,
        'each id once',
        'rename the repeated pieces',
      ),
    );
  }
  let total = 0;
  request.garments.forEach((garment, g) =>
    garment.pieces.forEach((wanted, p) => {
      const at = `/garments/${g}/pieces/${p}`;
      if (!known.has(wanted.piece)) {
        problems.push(
          problem(
            'PIECE_UNKNOWN',
            `${at}/piece`,
            wanted.piece,
            'the id of a piece of the request',
            'add the piece or correct the id',
          ),
        );
      }
      for (const name of ['plain', 'mirrored'] as const) {
        const count = wanted[name] ?? 0;
        total += count;
        if (Number.isInteger(count) && count >= 0 && count <= PIECES_MAX) continue;
        problems.push(
          problem(
            'PIECE_COUNT',
            `${at}/${name}`,
            count,
            `a whole number from 0 to ${PIECES_MAX}`,
            'correct the count',
          ),
        );
      }
    }),
  );
  if (total === 0)
    problems.push(problem('NOTHING_TO_LAY', '/garments', 0, 'at least one piece', 'ask for a garment'));
  if (total > PIECES_MAX) {
    problems.push(
      problem(
        'TOO_MANY_PIECES',
        '/garments',
        total,
        `at most ${PIECES_MAX} pieces`,
        'split the order into several markers',
      ),
    );
  }
  return problems;
}

export function problem(
  code: string,
  pointer: string,
  found: string | number,
  allowed: string,
  action: string,
): MarkerProblem {
  return { code, pointer, found, allowed, action };
}
