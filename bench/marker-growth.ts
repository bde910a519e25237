import { readFileSync } from 'node:fs';
import { MarkerEngine, planMarker, readInstance, type MarkerRequest } from '#marker';

// npm run bench -- marker-growth INSTANCE.json
// Cost of one move as the order grows: the instance once, twice, four and eight times over, in one run.

const TIMES = [1, 2, 4, 8];
/** The first moves build tables and separate a random start; what is measured comes after. */
const WARM_MOVES_PER_PIECE = 150;
const MEASURED_MOVES = 20_000;

const [, , , file] = process.argv;
const read = readInstance(JSON.parse(readFileSync(file, 'utf8')));
if (!read.ok) throw new Error(JSON.stringify(read.problems));
let base: number | undefined;
console.log('| pieces | microseconds a move | against the smallest |\n|---|---|---|');
for (const times of TIMES) {
  const { pieces, costUs } = costOf(repeated(read.request, times));
  base ??= costUs;
  console.log(`| ${pieces} | ${costUs.toFixed(1)} | ${(costUs / base).toFixed(2)} |`);
}

function repeated(request: MarkerRequest, times: number): MarkerRequest {
  const garments = Array.from({ length: times }, (_, i) => ({
    ...request.garments[0],
    reference: `copy ${i + 1}`,
  }));
  return { ...request, garments };
}

/** By the processor's time and not the clock's: other programs take turns on the same cores. */
function costOf(request: MarkerRequest): { readonly pieces: number; readonly costUs: number } {
  const answer = planMarker(request);
  if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
  const pieces = answer.plan.task.pieces.length;
  const engine = new MarkerEngine(answer.plan, { seed: 1, chain: 0 });
  const from = engine.runTo(WARM_MOVES_PER_PIECE * pieces).work;
  const before = process.cpuUsage();
  const { work } = engine.runTo(from + MEASURED_MOVES);
  const { user, system } = process.cpuUsage(before);
  return { pieces, costUs: (user + system) / (work - from) };
}
