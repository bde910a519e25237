import { draftBlock, type DraftedBlock, type DraftingMeasures } from '#drafting';
import { easeFor, type EaseName } from '#fit';
import { distance, type Point } from '#geometry';
import { completeMeasures, type Body, type MeasureName } from '#measurements';
import { dartsOf, edgesOf, landmarksOf } from '#pattern';

/** Lengths are not looked at here; corners do not depend on how finely they are measured. */
const LENGTH_TOLERANCE_MM = 0.1;

/** What one measure is moved by, up and down. */
const CHANGE_MM = 5;

/** Every measure of the survey that a block depends on. What is estimated from them follows. */
const MOVED_MEASURES = [
  'waistGirth',
  'hipGirth',
  'thighGirth',
  'kneeGirth',
  'calfGirth',
  'heelGirth',
  'totalCrotchLength',
  'backCrotchLength',
  'waistHeight',
  'hipHeight',
  'insideLegLength',
  'kneeHeight',
] as const satisfies readonly MeasureName[];

/** How far one changed measure moved the corners of a block. */
export interface Jump {
  readonly measure: MeasureName;
  readonly changeMm: number;
  readonly corner: string;
  readonly moveMm: number;
  /** What the drafts are that is one thing or another and no number: before, and after where it differs. */
  readonly standing: string;
}

export interface Steadiness {
  readonly ref: string;
  /** Undefined where the body itself is refused. */
  readonly worst: Jump | undefined;
  readonly iterations: number;
  /** Drafts of this body, changed or not, that were refused. */
  readonly refused: number;
}

/** The furthest that any corner of a body's block moves when any one measure is 5 mm more or less. 25 drafts. */
export function steadinessOf(body: Body, ease: EaseName): Steadiness {
  const before = drafted(body, ease);
  if (before === undefined) return { ref: body.ref, worst: undefined, iterations: 0, refused: 1 };
  let refused = 0;
  const jumps = MOVED_MEASURES.flatMap((measure) =>
    [-CHANGE_MM, CHANGE_MM].flatMap((changeMm): Jump[] => {
      const after = drafted(moved(body, measure, changeMm), ease);
      if (after === undefined) refused += 1;
      return after === undefined ? [] : [jumpBetween(before, after, { measure, changeMm })];
    }),
  );
  const worst = jumps.reduce((most, jump) => (jump.moveMm > most.moveMm ? jump : most));
  return { ref: body.ref, worst, iterations: before.iterations, refused };
}

function drafted(body: Body, ease: EaseName): DraftedBlock | undefined {
  const measures: DraftingMeasures = completeMeasures(body).measures;
  const result = draftBlock(measures, easeFor(ease, body.insideLegTaken, {}), LENGTH_TOLERANCE_MM);
  return result.state === 'drafted' ? result : undefined;
}

function moved(body: Body, measure: MeasureName, changeMm: number): Body {
  return { ...body, measures: { ...body.measures, [measure]: (body.measures[measure] ?? 0) + changeMm } };
}

function jumpBetween(
  before: DraftedBlock,
  after: DraftedBlock,
  { measure, changeMm }: Pick<Jump, 'measure' | 'changeMm'>,
): Jump {
  const was = corners(before);
  const is = corners(after);
  const moves = Object.keys(was).map((corner) => ({ corner, moveMm: distance(was[corner], is[corner]) }));
  const most = moves.reduce((found, move) => (move.moveMm > found.moveMm ? move : found));
  const switched = [before, after].map(standingOf);
  return { measure, changeMm, ...most, standing: [...new Set(switched)].join(' -> ') };
}

function corners({ block }: DraftedBlock): Readonly<Record<string, Point>> {
  return Object.fromEntries(
    (['front', 'back'] as const).flatMap((role) =>
      Object.entries(landmarksOf(block[role], block.levels)).map(([name, point]) => [
        `${role} ${name}`,
        point as Point,
      ]),
    ),
  );
}

// Everything about a draft that is one thing or another and not a number.
function standingOf({ row, block, atLimit }: DraftedBlock): string {
  const pieces = [block.front, block.back];
  const darts = pieces.map((piece) => dartsOf(piece).length).join('/');
  const edges = pieces.map((piece) => edgesOf(piece, 'rise').length).join('/');
  return `row ${row}, darts ${darts}, rise edges ${edges}${atLimit.length > 0 ? `, at limit ${atLimit.join(' ')}` : ''}`;
}
