import { EASE_NAMES, type EaseName } from '#fit';
import { steadinessOf, type Steadiness } from '../test/support/steadiness.js';
import { surveyBodiesIn } from '../test/support/survey-bodies.js';

const LIMITS_MM = [8, 12] as const;
const WORST_SHOWN = 15;

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
  say(
    bodies.map((body) => steadinessOf(body, ease)),
    `${bodies.length} bodies of the half "${half}", ${ease} ease`,
  );
}

function say(found: readonly Steadiness[], label: string): void {
  const refused = found.reduce((sum, { refused: count }) => sum + count, 0);
  console.log(`${label}: ${refused} drafts refused`);
  const worst = found
    .flatMap(({ ref, worst: jump }) => (jump === undefined ? [] : [{ ref, jump }]))
    .sort((x, y) => y.jump.moveMm - x.jump.moveMm);
  const moves = worst.map(({ jump }) => jump.moveMm);
  for (const limit of LIMITS_MM) {
    const over = moves.filter((move) => move > limit).length;
    console.log(`over ${limit} mm: ${over} bodies (${((100 * over) / moves.length).toFixed(2)} %)`);
  }
  const at = (values: readonly number[], share: number): number =>
    values[Math.floor(share * (values.length - 1))];
  console.log(`largest move: median ${at(moves, 0.5).toFixed(2)}, 95 % ${at(moves, 0.05).toFixed(2)} mm`);
  const sorted = found.map(({ iterations }) => iterations).sort((x, y) => x - y);
  console.log(
    `steps of the search a draft: median ${at(sorted, 0.5)}, 99 % ${at(sorted, 0.99)}, most ${at(sorted, 1)}`,
  );
  for (const { ref, jump } of worst.slice(0, WORST_SHOWN)) {
    const change = `${jump.measure} ${jump.changeMm > 0 ? '+' : ''}${jump.changeMm}`;
    console.log(
      `${ref} ${change.padEnd(22)} ${jump.corner.padEnd(18)} ${jump.moveMm.toFixed(1)} mm  ${jump.standing}`,
    );
  }
}
