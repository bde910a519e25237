import { availableParallelism } from 'node:os';
import { alterationByDefault, ALTERATION_NAMES } from '#contracts';
import { EASE_NAMES, type EaseName } from '#fit';
import { INSIDE_LEG_WAYS, type InsideLegTaken } from '#measurements';
import type { SurveyOptions } from '#pipeline';
import { BodiesTable } from './bodies-table.js';
import { engineVersion } from '#deliverables';
import { EXIT, UsageError } from './exit-code.js';
import { inChunks, inOrder } from './in-order.js';
import { ProgressBar } from './progress-bar.js';
import { filesOf, requireOutputs } from './require-outputs.js';
import { SurveyThreads } from './survey-threads.js';
import type { Call, Streams, Verb } from './verb.js';
import { SurveyWriter, type SurveyCounts } from './write-survey.js';

/** Enough bodies that handing them over costs nothing, few enough that threads end together. */
const CHUNK_SIZE = 16;

/** Chunks a thread may be ahead by, so that none waits for a slow neighbour. */
const CHUNKS_AHEAD = 4;

const THREADS_MAX = 64;

export const POPULATION: Verb = {
  name: 'population',
  summary: 'draft every body of a table and report how each came out',
  operands: ['BODIES.csv'],
  options: {
    out: { value: 'REPORT.json', says: 'the report', needed: true },
    pieces: { value: 'PIECES.ndjson', says: 'the drafted pieces as well, one line a body' },
    alteration: {
      value: 'NAME',
      says: 'alter every block too, by its default amounts',
      oneOf: ALTERATION_NAMES,
    },
    ease: { value: 'NAME', says: `${EASE_NAMES.join(', ')}; regular when left out`, oneOf: EASE_NAMES },
    'inside-leg': {
      value: 'WAY',
      says: 'how the inside leg was taken: taped (when left out) or pressed',
      oneOf: INSIDE_LEG_WAYS,
    },
    threads: {
      value: 'N',
      says: `threads to draft on, 1 to ${THREADS_MAX}; as many as processors when left out`,
    },
  },
  description: [
    'Reads a table of bodies with the columns ref, sex and measures (mm, or text with a unit) in any order, drafts a',
    'block for each row and writes one line a body, in the order of the table. A row that cannot be read is reported',
    'with its line, listed as refused, and does not stop the rest. Questions are listed, not waited for.',
  ],
  run,
};

async function run({ operands: [bodiesPath], options }: Call, streams: Streams) {
  const threads = threadCount(options['threads']);
  await requireOutputs([{ name: 'BODIES.csv', path: bodiesPath }], filesOf(options, ['out', 'pieces']));
  const surveyOptions: SurveyOptions = {
    ease: (options['ease'] ?? 'regular') as EaseName,
    ...(options['alteration'] === undefined
      ? {}
      : { alteration: alterationByDefault(options['alteration']) }),
  };
  const startedAt = process.hrtime.bigint();
  const bar = new ProgressBar(streams.bar, 'population');
  const table = await BodiesTable.open(bodiesPath, (options['inside-leg'] ?? 'taped') as InsideLegTaken);
  const writer = await SurveyWriter.open(options['out'], options['pieces']);
  const unreadable = await surveyTable({ table, writer, threads, surveyOptions, bar, streams });

  const seconds = Number((process.hrtime.bigint() - startedAt) / 1_000_000n) / 1000;
  const { ease, alteration } = surveyOptions;
  const head = { engine: engineVersion(), alteration: alteration?.use ?? null, ease };
  const counts = await writer.finish(head, seconds);
  bar.clear();
  streams.out(summaryOf(counts, unreadable, options['out']));
  return unreadable > 0 ? EXIT.no : EXIT.answered;
}

interface Survey {
  readonly table: BodiesTable;
  readonly writer: SurveyWriter;
  readonly threads: number;
  readonly surveyOptions: SurveyOptions;
  readonly bar: ProgressBar;
  readonly streams: Streams;
}

/** Survey every row and write it; gives the number of rows that could not be read. */
async function surveyTable({ table, writer, threads, surveyOptions, bar, streams }: Survey): Promise<number> {
  const pool = new SurveyThreads(threads, surveyOptions);
  let done = 0;
  let unreadable = 0;
  try {
    const chunks = inChunks(table.rows(), CHUNK_SIZE);
    const surveyed = inOrder(
      chunks,
      async (rows) => ({ rows, results: await pool.survey(rows) }),
      threads * CHUNKS_AHEAD,
    );
    for await (const { rows, results } of surveyed) {
      for (const result of results) await writer.add(result);
      for (const row of rows) {
        if (row.kind === 'body') continue;
        unreadable += 1;
        bar.clear();
        for (const fault of row.faults) streams.err(`${table.path}, line ${row.line}: ${fault}`);
      }
      done += rows.length;
      bar.show(done / table.lineCount);
    }
  } finally {
    await pool.close();
  }
  return unreadable;
}

function threadCount(typed: string | undefined): number {
  if (typed === undefined) return Math.min(THREADS_MAX, availableParallelism());
  const count = /^\d{1,3}$/.test(typed) ? Number(typed) : 0;
  if (count >= 1 && count <= THREADS_MAX) return count;
  throw new UsageError([`--threads is "${typed}"; it may be a whole number from 1 to ${THREADS_MAX}.`]);
}

function summaryOf(counts: SurveyCounts, unreadable: number, reportPath: string): string {
  const { count, asMeasured, splitMoved, refused, unusual, asked } = counts;
  const rows = unreadable === 0 ? '' : ` (${unreadable} of them rows that could not be read)`;
  return (
    `${count} bodies: ${asMeasured} as measured, ${splitMoved} with the split moved, ${refused} refused${rows}; ` +
    `${unusual} with an unusual block; ${asked} would be asked about first. Report: ${reportPath}.`
  );
}
