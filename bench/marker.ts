import { readFileSync, writeFileSync } from 'node:fs';
import { isMainThread, parentPort, Worker, workerData } from 'node:worker_threads';
import {
  bestOf,
  MarkerEngine,
  planMarker,
  readInstance,
  toLayout,
  type Marker,
  type MarkerPlan,
} from '#marker';

// npm run bench -- marker INSTANCE.json SECONDS THREADS SEEDS [OUT_FOLDER]
// Lays an instance with one independent chain per thread and prints utilisation after 10 s and at the end.

interface ChainReport {
  readonly early: Marker | undefined;
  readonly last: Marker | undefined;
}

interface ChainOrder {
  readonly file: string;
  readonly seconds: number;
  readonly seed: number;
  readonly chain: number;
}

const EARLY_SECONDS = 10;

if (isMainThread) await main(process.argv.slice(3));
else parentPort?.postMessage(runChain(workerData as ChainOrder));

async function main([file, seconds, threads, seeds, out]: string[]): Promise<void> {
  const finals: number[] = [];
  const earlies: number[] = [];
  for (const seed of seeds.split(',').map(Number)) {
    const chains = Array.from({ length: Number(threads) }, (_, chain) => chain);
    const reports = await Promise.all(
      chains.map((chain) => startChain({ file, seconds: Number(seconds), seed, chain })),
    );
    const last = bestOf(reports.flatMap((report) => report.last ?? []));
    const early = bestOf(reports.flatMap((report) => report.early ?? []));
    if (last === undefined) throw new Error('no layout in time');
    finals.push(100 * last.figures.utilisation);
    earlies.push(100 * (early?.figures.utilisation ?? 0));
    const works = reports.map((report) => report.last?.work).join(' ');
    console.log(
      `seed ${seed}: ${finals.at(-1)?.toFixed(2)} % (10 s ${earlies.at(-1)?.toFixed(2)}), moves ${works}`,
    );
    if (out !== undefined)
      writeFileSync(
        `${out}/${file.split('/').at(-1)?.replace('.json', '')}-${seed}.json`,
        JSON.stringify(toLayout(last)),
      );
  }
  console.log(
    `${file.split('/').at(-1)} median ${median(finals).toFixed(2)} %, 10 s median ${median(earlies).toFixed(2)} %`,
  );
}

function startChain(order: ChainOrder): Promise<ChainReport> {
  return new Promise((resolve, reject) => {
    const worker = new Worker(new URL(import.meta.url), { workerData: order });
    worker.once('message', resolve);
    worker.once('error', reject);
  });
}

function runChain({ file, seconds, seed, chain }: ChainOrder): ChainReport {
  const engine = new MarkerEngine(planOf(file), { seed, chain });
  const start = performance.now();
  let early: Marker | undefined;
  for (;;) {
    engine.step();
    const passed = (performance.now() - start) / 1000;
    if (early === undefined && passed >= EARLY_SECONDS) early = engine.best();
    if (passed >= seconds) return { early: early ?? engine.best(), last: engine.best() };
  }
}

function planOf(file: string): MarkerPlan {
  const read = readInstance(JSON.parse(readFileSync(file, 'utf8')));
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  const answer = planMarker(read.request);
  if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
  return answer.plan;
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)];
}
