import { spawnSync } from 'node:child_process';
import { performance } from 'node:perf_hooks';
import { fileURLToPath } from 'node:url';
import { readDraftRequest, type DraftRequest } from '#contracts';
import { produceDeliverables } from '#deliverables';
import { finishBlock, type CutPiece } from '#finishing';
import { HPGL2_COORDINATE_MAX, writeHpgl, writeSvg } from '#interchange';
import type { Body } from '#measurements';
import { draftResult } from '#pipeline';
import { renderPdf } from '#render';
import { cutSheets, PLEX_WIDTHS } from '#sheets';
import { TRADE_RULES } from '#truing';
import { WORKED_BODY } from '../test/support/worked-body.js';

// npm run bench -- outputs
// What each output of one draft costs as a multiple of its geometry in the same run, and the memory of a 3 m sheet. Every
// round is of a body that no round before was of: what a program remembers of a draft is of no help.

const ENGINE = 'forkline bench';
const OUTPUTS = [
  'proof',
  'pattern',
  'sheet',
  'tiles-a4',
  'tiles-letter',
  'tiles-a3',
  'tiles-tabloid',
  'dxf',
  'plot',
] as const;
const EVERYTHING = [...OUTPUTS, 'bundle'];

// As many as the compiler takes to have seen all of it; a service is warm.
const WARM_UP_ROUNDS = 8;
const ROUNDS = 15;

/** What a body of the bench differs by. */
const VARIED = ['waistGirth', 'hipGirth', 'insideLegLength', 'kneeGirth'] as const;

/** The promise: all outputs within so many times the geometry, none longer than so long. */
const TIMES_MAX = 25;
const OUTPUT_MS_MAX = 1500;

const SHEET_MM = 3000;
const MEBI = 1024 * 1024;

if (process.argv[3] === 'long-sheet') await renderLongSheet();
else await main();

async function main(): Promise<void> {
  // First, because a process starts with the high mark of the one that starts it.
  const sheet = spawnSync(process.execPath, [fileURLToPath(import.meta.url), '', 'long-sheet'], {
    encoding: 'utf8',
  });
  console.log(sheet.status === 0 ? sheet.stdout.trim() : sheet.stderr);
  const geometryMs: number[] = [];
  const geometryCpuMs: number[] = [];
  const works = [...OUTPUTS.map((output) => [output]), EVERYTHING].map((outputs) => ({
    outputs,
    ms: [] as number[],
    cpuMs: [] as number[],
  }));
  let bodies = 0;
  // Geometry and outputs take turns, so that both meet the same machine.
  for (let round = -WARM_UP_ROUNDS; round < ROUNDS; round++) {
    for (const work of works) {
      const [plain, request] = [bodies++, bodies++].map((n) => requestFor(work.outputs, invented(n)));
      const geometry = await timed(() => geometryOf(plain));
      const made = await timed(() => produceDeliverables(request, ENGINE, () => undefined));
      if (round < 0) continue;
      geometryMs.push(geometry.ms);
      geometryCpuMs.push(geometry.cpuMs);
      work.ms.push(made.ms);
      work.cpuMs.push(made.cpuMs);
    }
  }
  const unit = median(geometryMs);
  const cpuUnit = median(geometryCpuMs);
  const row = (name: string, ms: number, cpuMs: number): void => {
    console.log(
      `${name.padEnd(26)} ${ms.toFixed(1).padStart(7)} ms ${(ms / unit).toFixed(1).padStart(6)} x   ` +
        `processor ${cpuMs.toFixed(1).padStart(7)} ms ${(cpuMs / cpuUnit).toFixed(1).padStart(6)} x`,
    );
  };
  row('geometry', unit, cpuUnit);
  for (const { outputs, ms, cpuMs } of works)
    row(outputs.length === 1 ? outputs[0] : 'all in one request', median(ms), median(cpuMs));
  const single = works.slice(0, -1).map(({ ms }) => median(ms));
  row('sum of one by one', sum(single), sum(works.slice(0, -1).map(({ cpuMs }) => median(cpuMs))));
  const allTimes = median(works[works.length - 1].ms) / unit;
  console.log(`all outputs: ${allTimes.toFixed(1)} times the geometry (promised: ${TIMES_MAX})`);
  console.log(`longest output: ${Math.max(...single).toFixed(0)} ms (promised: ${OUTPUT_MS_MAX})`);
}

/** The worked body with four measures some millimetres off: another one for each number below 7 to the 4th. */
function invented(n: number): Body {
  const digit = (place: number): number => Math.floor(n / 7 ** place) % 7;
  const measures = Object.fromEntries(
    VARIED.map((name, place) => [name, (WORKED_BODY.measures[name] ?? 0) + 3 * (digit(place) - 3)]),
  );
  return { ...WORKED_BODY, measures: { ...WORKED_BODY.measures, ...measures } };
}

function requestFor(outputs: readonly string[], body: Body): DraftRequest {
  const read = readDraftRequest({
    body,
    block: 'from-body',
    alterations: [{ use: 'drop-crotch', with: {} }],
    outputs,
    reference: 'order 1042',
    finish: { pockets: 'side-seam' },
  });
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.request;
}

/** Draft, alteration, truing and finishing: what every output stands on. */
function geometryOf(request: DraftRequest): readonly CutPiece[] {
  const { finished } = draftResult(request);
  if (finished === undefined || request.finish === undefined) throw new Error('nothing was drafted');
  const truing = { ...TRADE_RULES, lengthToleranceMm: 0.004 };
  const noShrinkage = { warp: 0, weft: 0 };
  return finishBlock(finished.block, request.finish.rules, noShrinkage, truing, finished.fixes).pieces;
}

async function timed(work: () => unknown): Promise<{ readonly ms: number; readonly cpuMs: number }> {
  const cpu = process.cpuUsage();
  const start = performance.now();
  await work();
  const ms = performance.now() - start;
  const { user, system } = process.cpuUsage(cpu);
  return { ms, cpuMs: (user + system) / 1000 };
}

/** In a process of its own, since the highest mark of memory never goes down again. */
async function renderLongSheet(): Promise<void> {
  const one = geometryOf(requestFor(['sheet'], WORKED_BODY));
  const peakMb = (): number => process.resourceUsage().maxRSS / 1024;
  const before = peakMb();
  let pieces = one;
  const sheetsOf = (): ReturnType<typeof cutSheets> =>
    cutSheets(
      { reference: 'long', pieces, provenance: { engine: ENGINE, requestHash: '0'.repeat(64) } },
      'roll-914',
      PLEX_WIDTHS,
    );
  // Trousers are added until the sheet is as long as is asked; each is longer than half a metre.
  for (let count = 1; count < 20 && sheetsOf()[0].heightMm < SHEET_MM; count++) pieces = [...pieces, ...one];
  const sheets = sheetsOf();
  const pdf = await renderPdf(sheets, { title: 'long', creator: ENGINE });
  const svg = writeSvg(sheets[0]);
  const plot = writeHpgl(sheets[0], { coordinateMax: HPGL2_COORDINATE_MAX });
  const written = pdf.length + svg.length + plot.reduce((bytes, { text }) => bytes + text.length, 0);
  console.log(
    `a sheet of ${(sheets[0].heightMm / 1000).toFixed(2)} m (${pieces.length} pieces) as PDF, SVG and plot: ` +
      `${(written / MEBI).toFixed(2)} MB written, peak memory ${peakMb().toFixed(0)} MB, ` +
      `${before.toFixed(0)} MB of it the program with the geometry made`,
  );
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1];
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}
