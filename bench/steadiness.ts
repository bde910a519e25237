import { draftBlock, type DraftedBlock, type DraftingMeasures } from '#drafting';
import { EASE_NAMES, easeFor, type EaseName } from '#fit';
import { distance, type Point } from '#geometry';
import { completeMeasures, type Body, type MeasureName } from '#measurements';
import { dartsOf, edgesOf, landmarksOf } from '#pattern';
import { surveyBodiesIn } from '../test/support/survey-bodies.js';

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

const LIMITS_MM = [8, 12] as const;
const WORST_SHOWN = 15;

/** How far one changed measure moved the corners of a block. */
interface Jump {
  readonly measure: MeasureName;
  readonly changeMm: number;
  readonly corner: string;
  readonly moveMm: number;
  /** What the draft of the changed body does otherwise. */
  readonly switched: string;
}

const halves: Readonly<Record<string, (row: number) => boolean>> = {
  even: (row) => row % 2 === 0,
  odd: (row) => row % 2 === 1,
  all: () => true,
};

const [, , , path, half = 'even', countText = '', easeText = 'regular'] = process.argv;
const isWanted = halves[half];
const easeName = EASE_NAMES.find((name) => name === easeText);
if (path === undefined || isWanted === undefined || easeName === undefined)
  throw new Error('usage: npm run bench -- steadiness BODIES.csv [even|odd|all] [COUNT] [EASE]');
report(path, isWanted, countText === '' ? Infinity : Number(countText), easeName);

function report(table: string, wanted: (row: number) => boolean, countMax: number, ease: EaseName): void {
  const rows = surveyBodiesIn(table).filter((_, row) => wanted(row));
  // Evenly over the table, which is sorted.
  const stride = Math.max(1, rows.length / countMax);
  const bodies = rows.filter((_, i) => Math.floor(i / stride) !== Math.floor((i - 1) / stride));
  const steps: number[] = [];
  const worst: { readonly ref: string; readonly jump: Jump }[] = [];
  let refused = 0;
  for (const body of bodies) {
    const before = drafted(body, ease);
    if (before === undefined) {
      refused += 1;
      continue;
    }
    steps.push(before.iterations);
    const jumps = MOVED_MEASURES.flatMap((measure) =>
      [-CHANGE_MM, CHANGE_MM].flatMap((changeMm): Jump[] => {
        const after = drafted(moved(body, measure, changeMm), ease);
        if (after === undefined) refused += 1;
        return after === undefined ? [] : [jumpBetween(before, after, { measure, changeMm })];
      }),
    );
    worst.push({ ref: body.ref, jump: jumps.reduce((most, jump) => (jump.moveMm > most.moveMm ? jump : most)) });
  }
  worst.sort((a, b) => b.jump.moveMm - a.jump.moveMm);
  say(worst, { refused, steps, label: `${bodies.length} bodies of the half "${half}", ${ease} ease` });
}

function say(
  worst: readonly { readonly ref: string; readonly jump: Jump }[],
  { refused, steps, label }: { refused: number; steps: readonly number[]; label: string },
): void {
  console.log(`${label}: ${refused} drafts refused`);
  const moves = worst.map(({ jump }) => jump.moveMm);
  for (const limit of LIMITS_MM) {
    const over = moves.filter((move) => move > limit).length;
    console.log(`over ${limit} mm: ${over} bodies (${((100 * over) / moves.length).toFixed(2)} %)`);
  }
  const at = (values: readonly number[], share: number): number => values[Math.floor(share * (values.length - 1))];
  console.log(`largest move: median ${at(moves, 0.5).toFixed(2)}, 95 % ${at(moves, 0.05).toFixed(2)} mm`);
  const sorted = [...steps].sort((a, b) => a - b);
  console.log(
    `evaluated steps a draft: median ${at(sorted, 0.5)}, 99 % ${at(sorted, 0.99)}, most ${at(sorted, 1)}`,
  );
  for (const { ref, jump } of worst.slice(0, WORST_SHOWN)) {
    const change = `${jump.measure} ${jump.changeMm > 0 ? '+' : ''}${jump.changeMm}`;
    console.log(`${ref} ${change.padEnd(22)} ${jump.corner.padEnd(18)} ${jump.moveMm.toFixed(1)} mm  ${jump.switched}`);
  }
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
  const switched = [before, after].map(standing);
  return { measure, changeMm, ...most, switched: switched[0] === switched[1] ? switched[0] : switched.join(' -> ') };
}

function corners({ block }: DraftedBlock): Readonly<Record<string, Point>> {
  return Object.fromEntries(
    (['front', 'back'] as const).flatMap((role) =>
      Object.entries(landmarksOf(block[role], block.levels)).map(([name, point]) => [`${role} ${name}`, point as Point]),
    ),
  );
}

// Everything about a draft that is one thing or another and not a number.
function standing({ row, block, atLimit }: DraftedBlock): string {
  const pieces = [block.front, block.back];
  const darts = pieces.map((piece) => dartsOf(piece).length).join('/');
  const edges = pieces.map((piece) => edgesOf(piece, 'rise').length).join('/');
  return `row ${row}, darts ${darts}, rise edges ${edges}${atLimit.length > 0 ? `, at limit ${atLimit.join(' ')}` : ''}`;
}
