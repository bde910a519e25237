import { curveLength, GeometryError, startOf } from '#geometry';
import { inMm, measureBlock, PatternError, type Block, type EdgeRole, type Finding } from '#pattern';
import { trueBlock, type AppliedFix, type TruingReport } from '#truing';
import { seamCurves } from './allowance-checks.js';
import { readBand, type BandReading } from './band-checks.js';
import { PRACTICE, type Correction, type Found, type LineCheck } from './check-report.js';
import type { CheckSettings } from './check-settings.js';
import { blockOf, type Leg, type LegLine, type NamedNotches } from './leg-block.js';
import { toFile } from './leg-frame.js';
import { walkNotches, type SignPair } from './leg-notches.js';
import { offerFor, plansFor, withPlans } from './offered-corrections.js';
import { worstPlace, type SeamPlan } from './seam-plan.js';
import type { LongSeam } from './seam-run.js';
import { statedLongSeams, withStated, type StatedLongSeams } from './stated-long-seams.js';
import { footOn, type SeamOutline } from './seam-outline.js';

/** What can be said of front and back together. */
export interface TrouserReading {
  readonly block: Block;
  readonly names: NamedNotches;
  readonly truing: TruingReport;
  readonly lines: readonly LineCheck[];
  readonly measures: Readonly<Record<string, number>>;
  readonly found: readonly Found[];
  readonly corrections: readonly Correction[];
  /** How long seams that are off would be made to fit; none for those about which a person is asked. */
  readonly plans: readonly SeamPlan[];
}

const NEEDED: readonly EdgeRole[] = ['rise', 'inseam', 'hem', 'outseam', 'waist'];

/** What goes round the waist besides the legs. */
export interface WaistPieces {
  readonly bands: readonly SeamOutline[];
  /** With a fly a band needs an underlap. */
  readonly hasFly: boolean;
}

/** Front and back judged by the truing engine, the notches walked, the balance lines followed round. */
export function checkTrouser(
  front: Leg,
  back: Leg,
  waist: WaistPieces,
  settings: CheckSettings,
  agreed: readonly AppliedFix[],
): TrouserReading | Found {
  const legs = { front, back };
  const missing = [front, back].flatMap((leg) =>
    NEEDED.filter((role) => !leg.roles.includes(role)).map((role) => ({ leg, role })),
  );
  if (missing.length > 0) return notJudged(missing[0].leg, `it has no ${missing[0].role}`);
  try {
    return judged(legs, waist, settings, agreed);
  } catch (error) {
    // Outlines from outside may hold what no drafted block does: the engine's refusal is an answer then, not a fault of ours.
    if (error instanceof GeometryError || error instanceof PatternError) return notJudged(front, error.code);
    throw error;
  }
}

function notJudged(leg: Leg, why: string): Found {
  const { piece } = leg.reading.outline;
  return {
    code: 'LEG_NOT_JUDGED',
    level: 'stop',
    message: `Front and back could not be compared: ${why}.`,
    action: 'Look at the outline of both; one of them is not what its name says.',
    place: { piece: piece.block, line: piece.line },
    basis: PRACTICE,
  };
}

type Legs = Readonly<Record<'front' | 'back', Leg>>;

function judged(
  { front, back }: Legs,
  { bands, hasFly }: WaistPieces,
  settings: CheckSettings,
  agreed: readonly AppliedFix[],
): TrouserReading {
  const notches = walkNotches(front, back, settings);
  const band = readBand(bands, front.piece, back.piece, hasFly, settings);
  const block = blockOf(front, back, notches.names, band.lengthMm);
  const stated = statedLongSeams({ front, back }, settings.seams);
  const judgedBlock = trueBlock(block, settings.truing, agreed);
  const lines = lineChecks(front, back, settings);
  const marks = marksOf(notches.pairs, lines);
  const plans = plansFor({ front, back }, marks, unstated(judgedBlock, stated), settings.truing);
  const truing = comparedOnly(withStated(withPlans(judgedBlock, plans), stated, settings.truing), band);
  const offer = offerFor({ front, back }, block, plans, agreed, settings.truing);
  const measures = measuresOf(block, settings);
  return {
    block,
    names: notches.names,
    truing,
    lines,
    measures,
    found: [
      ...truing.findings
        .filter(({ code }) => !ELSEWHERE.has(code))
        .map((finding) => withBand(inFile(finding, { front, back }), band))
        .map((found) => atWorst(found, { front, back }, marks, settings)),
      ...notches.found,
      ...band.found,
      ...lines.flatMap((check) => lineOff(check, back)),
      ...hemOpening(measures, settings, front),
      ...offer.found,
    ],
    corrections: offer.corrections,
    plans,
  };
}

/** The truing engine compares a waist without a band with itself; here such a row would say that there was one. */
function comparedOnly(truing: TruingReport, { lengthMm }: BandReading): TruingReport {
  // What the engine would do to darts says nothing of a band that is to be cut anew: the finding does.
  if (lengthMm !== undefined)
    return {
      ...truing,
      seams: truing.seams.map((check) => (check.seam === 'waist' ? { ...check, fix: null } : check)),
    };
  return { ...truing, seams: truing.seams.filter(({ seam }) => seam !== 'waist') };
}

/** A band that does not fit is measured by hand: what of it was not counted has to be known, and where it is off. */
function withBand(found: Found, { underlapMm, isOffAtEnd }: BandReading): Found {
  const differenceMm = found.numbers?.['differenceMm'] ?? 0;
  if (found.code !== 'WAIST_SEAM_LONGER' && found.code !== 'WAISTBAND_SHORTER') return found;
  const which = `${inMm(Math.abs(differenceMm))} ${differenceMm > 0 ? 'longer' : 'shorter'}`;
  return {
    ...found,
    ...(underlapMm > 0
      ? { message: `${found.message} Its underlap of ${inMm(underlapMm)} was not counted.` }
      : {}),
    ...(isOffAtEnd
      ? { action: `The notches of the band meet the waist: cut it ${which} at the end that is off.` }
      : {}),
    numbers: { ...found.numbers, underlapMm },
  };
}

/** Without the seams that are stated: what is meant there is for the sender to say, not for a plan. */
function unstated(truing: TruingReport, stated: StatedLongSeams): TruingReport {
  return { ...truing, seams: truing.seams.filter(({ seam }) => !stated.has(seam as LongSeam)) };
}

/** Balance lines this near to a notch say what it says. */
const SAME_MARK_MM = 30;

/** What is sewn onto each other along the seams: notches, and balance lines where there is no notch. */
function marksOf(pairs: readonly SignPair[], lines: readonly LineCheck[]): SignPair[] {
  const bare = lines
    .map(({ seam, frontFromHemMm, backFromHemMm }) => ({
      seam,
      frontMm: frontFromHemMm,
      backMm: backFromHemMm,
    }))
    .filter((mark) =>
      pairs.every((pair) => pair.seam !== mark.seam || Math.abs(pair.frontMm - mark.frontMm) > SAME_MARK_MM),
    );
  return [...pairs, ...bare].sort((a, b) => a.frontMm - b.frontMm);
}

/** Said by checks of our own, with the place in the file. */
const ELSEWHERE = new Set([
  'NOTCH_OFF',
  'NOTCH_WITHOUT_PARTNER',
  'BALANCE_LINE_OFF',
  'OUTLINE_OPEN',
  'OUTLINE_CROSSES',
  'OUTLINE_REVERSED',
  'OUTLINE_SLIVER',
  'EDGE_SHORT',
]);

function inFile(finding: Finding, legs: Legs): Found {
  const { place, numbers = {} } = finding;
  // A corner of both pieces is drawn on the front; that of one piece is said by its part only.
  const leg = legs[place?.piece ?? (place?.part?.includes('back') === true ? 'back' : 'front')];
  const isAngle = numbers['allowedDeg'] !== undefined;
  const tolerance = isAngle
    ? { value: numbers['allowedDeg'], unit: 'degrees' as const }
    : numbers['allowedMaxMm'] === undefined
      ? null
      : {
          value: Math.max(Math.abs(numbers['allowedMaxMm']), Math.abs(numbers['allowedMinMm'] ?? 0)),
          unit: 'mm' as const,
        };
  const at = place?.at ?? startOf(leg.reading.curves[leg.reading.corners.sideWaist]);
  return {
    code: finding.code,
    level: finding.level,
    message: finding.message,
    action: finding.action,
    place: {
      piece: leg.reading.outline.piece.block,
      ...(place?.part === undefined ? {} : { part: place.part }),
      at: toFile(leg.reading.frame, at),
    },
    numbers,
    tolerance,
    basis: PRACTICE,
  };
}

const LONG_SEAMS = { INSEAM_MISMATCH: 'inseam', OUTSEAM_MISMATCH: 'outseam' } as const;

/** Of a seam that is off as a whole, the stretch between two marks that is most off. */
function atWorst(found: Found, legs: Legs, marks: readonly SignPair[], { truing }: CheckSettings): Found {
  if (found.code !== 'INSEAM_MISMATCH' && found.code !== 'OUTSEAM_MISMATCH') return found;
  return { ...found, place: { ...found.place, at: worstPlace(legs, LONG_SEAMS[found.code], marks, truing) } };
}

const LINES = [
  { line: 'hip', seam: 'outseam' },
  { line: 'crotch', seam: 'outseam' },
  { line: 'knee', seam: 'outseam' },
  { line: 'knee', seam: 'inseam' },
] as const;

/** Each balance line as drawn on either leg: how far from the hem it meets the seam. */
function lineChecks(front: Leg, back: Leg, { truing }: CheckSettings): LineCheck[] {
  const allowed = truing.cloth === 'repeat' ? Math.min(truing.levelMm, truing.repeatLevelMm) : truing.levelMm;
  return LINES.flatMap(({ line, seam }): LineCheck[] => {
    const [frontFromHemMm, backFromHemMm] = [front, back].map((leg) => lineFromHemMm(leg, line, seam));
    if (frontFromHemMm === undefined || backFromHemMm === undefined) return [];
    const difference = backFromHemMm - frontFromHemMm;
    return [
      {
        line,
        seam,
        frontFromHemMm,
        backFromHemMm,
        difference,
        allowed,
        state: Math.abs(difference) <= allowed ? 'ok' : 'off',
      },
    ];
  });
}

/** A line that ends further than this from a seam does not end on it. */
const REACHES_MM = 30;

function lineFromHemMm(leg: Leg, name: LegLine['role'], seam: 'inseam' | 'outseam'): number | undefined {
  const line = leg.lines.find(({ role }) => role === name);
  if (line === undefined) return undefined;
  const curves = seamCurves(leg, seam);
  const end = line.from.x < line.to.x === (seam === 'outseam') ? line.from : line.to;
  const foot = footOn(curves, end);
  if (foot.apartMm > REACHES_MM) return undefined;
  const lengths = curves.map((curve) => curveLength(curve, 0.01));
  const along = lengths.slice(0, foot.index).reduce((sum, mm) => sum + mm, foot.fromStartMm);
  return seam === 'outseam' ? along : lengths.reduce((sum, mm) => sum + mm, 0) - along;
}

function lineOff(
  { line, seam, difference, allowed, state, frontFromHemMm, backFromHemMm }: LineCheck,
  back: Leg,
): Found[] {
  const drawn = back.lines.find(({ role }) => role === line);
  if (state === 'ok' || drawn === undefined) return [];
  const { piece } = back.reading.outline;
  return [
    {
      code: 'BALANCE_LINE_OFF',
      level: 'warning',
      message: `The ${line} line of the back meets the ${seam} ${inMm(Math.abs(difference))} ${difference > 0 ? 'above' : 'below'} the front's, along the seam.`,
      action: 'Draw both at the same seam distance from the hem, and match by the notches.',
      place: {
        piece: piece.block,
        part: `${line} line`,
        at: toFile(
          back.reading.frame,
          drawn.from.x < drawn.to.x === (seam === 'outseam') ? drawn.from : drawn.to,
        ),
        line: drawn.line.line,
      },
      numbers: { frontFromHemMm, backFromHemMm, differenceMm: difference },
      tolerance: { value: allowed, unit: 'mm' },
      basis: PRACTICE,
    },
  ];
}

function measuresOf(block: Block, { truing }: CheckSettings): Record<string, number> {
  try {
    return { ...measureBlock(block, truing.lengthToleranceMm) };
  } catch (error) {
    if (!(error instanceof PatternError)) throw error;
    // Without a hip or a knee line only what needs no level is measured.
    const { front, back } = block;
    const hem = [front, back].flatMap((piece) => piece.edges.filter(({ role }) => role === 'hem'));
    return { hem: hem.reduce((sum, { curve }) => sum + curveLength(curve, truing.lengthToleranceMm), 0) };
  }
}

function hemOpening(
  measures: Readonly<Record<string, number>>,
  { hemOpeningMm }: CheckSettings,
  front: Leg,
): Found[] {
  const hemMm = measures['hem'];
  if (hemOpeningMm === undefined || hemMm === undefined || hemMm >= hemOpeningMm) return [];
  const { curves, corners, frame, outline } = front.reading;
  return [
    {
      code: 'HEM_OPENING_SMALL',
      level: 'stop',
      message: `The hem opens to ${inMm(hemMm)}; the foot needs ${inMm(hemOpeningMm)}.`,
      action: 'Widen the hem, or give it an opening.',
      place: {
        piece: outline.piece.block,
        part: 'hem',
        at: toFile(frame, startOf(curves[corners.hemInseam])),
      },
      numbers: { hemMm, wantedMm: hemOpeningMm },
      basis: 'as the request says',
    },
  ];
}
