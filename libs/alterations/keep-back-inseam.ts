import { cubic, lerp, quadratureLength, type CubicBezier } from '#geometry';
import { edgesOf, withSeam, type Edge, type Finding, type Piece } from '#pattern';
import { mm, done, type Outcome, type PiecePair } from './outcome.js';
import { seamRecord } from './redraw-seam.js';
import { runLengthMm } from './run.js';

/** The back inseam may be this much shorter than the front and is stretched on above the knee; common practice, no source. */
const STRETCH_MM_MAX = 5;
/** Handles are changed by no more than this, or the thigh would be another curve. */
const FULLNESS = { least: 0.4, most: 1.6 };
const BISECTIONS = 40;

export interface KeptBack {
  readonly back: Piece;
  /** How much the back is meant to be stretched between knee notch and fork. */
  readonly stretchMm: number;
  readonly findings: readonly Finding[];
}

/**
 * Make a back inseam of its own shape fit the front's length.
 *
 * Shape     a back shorter by at most 5 mm stays and is stretched on; any other difference is taken by the fullness of
 *           its thigh curve, ends and end tangents kept.
 * Edges     INSEAM_STRETCHED, INSEAM_FULLNESS_CHANGED (info); INSEAM_NOT_MATCHED (warning) when the fullness is not enough.
 */
export function keepBackInseam(front: Piece, back: Piece, toleranceMm: number): Outcome<KeptBack> {
  const shortMm = runLengthMm(edgesOf(front, 'inseam')) - runLengthMm(edgesOf(back, 'inseam'));
  if (Math.abs(shortMm) <= toleranceMm) return done({ back, stretchMm: 0, findings: [] });
  if (shortMm > 0 && shortMm <= STRETCH_MM_MAX)
    return done({ back, stretchMm: shortMm, findings: [stretched(shortMm)] });
  return byFullness(back, shortMm, toleranceMm);
}

export interface MatchedInseams extends PiecePair {
  readonly stretchMm: number;
  readonly findings: readonly Finding[];
}

/**
 * Make two inseams of their own shape fit each other: a back that is shorter by at most 5 mm is stretched on; what is
 * more than that, or a back that is longer, is taken by the fullness of the thigh curves, the back's as far as it goes,
 * then the front's.
 *
 * Shape   ends and end tangents stay, and with them every girth at knee and hem.
 * Edges   a difference below the tolerance is none. INSEAM_FULLNESS_CHANGED, INSEAM_STRETCHED (info);
 *         INSEAM_NOT_MATCHED (warning) when all of that is not enough.
 */
export function matchInseams(pieces: PiecePair, toleranceMm: number): Outcome<MatchedInseams> {
  const shortOf = ({ front, back }: PiecePair): number =>
    runLengthMm(edgesOf(front, 'inseam')) - runLengthMm(edgesOf(back, 'inseam'));
  const shortMm = shortOf(pieces);
  if (Math.abs(shortMm) <= toleranceMm) return done({ ...pair(pieces), stretchMm: 0, findings: [] });
  const meantMm = Math.min(Math.max(shortMm, 0), STRETCH_MM_MAX);
  const first = { ...pair(pieces), back: withThighBy(pieces.back, shortMm - meantMm) };
  const second = { ...first, front: withThighBy(first.front, meantMm - shortOf(first)) };
  const leftMm = shortOf(second);
  const records = (['front', 'back'] as const)
    .filter((role) => second[role] !== pieces[role])
    .map((role) => seamRecord('match seam', pieces[role], second[role], 'inseam', toleranceMm));
  const changed = shortMm === leftMm ? [] : [fullness(shortMm - leftMm)];
  if (Math.abs(leftMm) <= toleranceMm) return done({ ...second, stretchMm: 0, findings: changed }, records);
  if (leftMm > 0 && leftMm <= STRETCH_MM_MAX + EQUAL_MM)
    return done({ ...second, stretchMm: leftMm, findings: [...changed, stretched(leftMm)] }, records);
  return done({ ...second, stretchMm: 0, findings: [...changed, notMatched(leftMm)] }, records);
}

function pair({ front, back }: PiecePair): PiecePair {
  return { front, back };
}

/** The piece with its thigh curve as much longer as it can become, up to `byMm`; shorter when that is negative. */
function withThighBy(piece: Piece, byMm: number): Piece {
  const run = edgesOf(piece, 'inseam');
  const [{ curve }] = run;
  if (curve.kind !== 'cubic' || Math.abs(byMm) <= EQUAL_MM) return piece;
  const lengthMm = quadratureLength(curve) + byMm;
  const limit = byMm > 0 ? FULLNESS.most : FULLNESS.least;
  const fuller = ofLength(curve, lengthMm) ?? withFullness(curve, limit);
  return withSeam(piece, 'inseam', [{ ...run[0], curve: fuller }, ...run.slice(1)]);
}

/** Two lengths by quadrature are equal here. */
const EQUAL_MM = 1e-6;

function byFullness(back: Piece, shortMm: number, toleranceMm: number): Outcome<KeptBack> {
  const [thigh] = edgesOf(back, 'inseam');
  const fuller =
    thigh.curve.kind === 'cubic' ? ofLength(thigh.curve, quadratureLength(thigh.curve) + shortMm) : undefined;
  if (fuller === undefined) return done({ back, stretchMm: 0, findings: [notMatched(shortMm)] });
  const run = edgesOf(back, 'inseam').map((edge): Edge =>
    edge === thigh ? { ...edge, curve: fuller } : edge,
  );
  const matched = withSeam(back, 'inseam', run);
  const record = seamRecord('match seam', back, matched, 'inseam', toleranceMm);
  return done({ back: matched, stretchMm: 0, findings: [fullness(shortMm)] }, [record]);
}

function withFullness(curve: CubicBezier, factor: number): CubicBezier {
  return cubic(curve.p0, lerp(curve.p0, curve.p1, factor), lerp(curve.p3, curve.p2, factor), curve.p3);
}

// The length grows with the handles as long as they do not pass each other.
function ofLength(curve: CubicBezier, lengthMm: number): CubicBezier | undefined {
  const drawn = (factor: number): CubicBezier => withFullness(curve, factor);
  let low = FULLNESS.least;
  let high = FULLNESS.most;
  if (quadratureLength(drawn(low)) > lengthMm || quadratureLength(drawn(high)) < lengthMm) return undefined;
  for (let step = 0; step < BISECTIONS; step++) {
    const middle = (low + high) / 2;
    if (quadratureLength(drawn(middle)) < lengthMm) low = middle;
    else high = middle;
  }
  return drawn((low + high) / 2);
}

const PLACE = { piece: 'back', part: 'inseam' } as const;

function stretched(stretchMm: number): Finding {
  return {
    code: 'INSEAM_STRETCHED',
    level: 'info',
    message: `The back inseam is ${mm(stretchMm)} shorter than the front.`,
    action: 'Stretch the back between knee notch and fork when sewing.',
    place: PLACE,
    numbers: { stretchMm },
  };
}

function fullness(byMm: number): Finding {
  return {
    code: 'INSEAM_FULLNESS_CHANGED',
    level: 'info',
    message: `The back inseam was made ${mm(Math.abs(byMm))} ${byMm > 0 ? 'longer' : 'shorter'} by the fullness of its curve, to match the front.`,
    action: 'Nothing to do; the back keeps its own hem and taper.',
    place: PLACE,
    numbers: { byMm },
  };
}

function notMatched(byMm: number): Finding {
  return {
    code: 'INSEAM_NOT_MATCHED',
    level: 'warning',
    message: `The back inseam is ${mm(Math.abs(byMm))} ${byMm > 0 ? 'shorter' : 'longer'} than the front, more than its curve can take up.`,
    action: 'Copy the front inseam instead, or change hem or taper of the block.',
    place: PLACE,
    numbers: { byMm },
  };
}
