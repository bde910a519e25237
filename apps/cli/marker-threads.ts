import { Worker } from 'node:worker_threads';
import {
  bestOf,
  MarkerEngine,
  planMarker,
  type Marker,
  type MarkerRequest,
  type RefusedLayout,
  type StartPlace,
  type WholeGarments,
} from '#marker';
import type { MarkerOrder, MarkerReport } from './marker-worker.js';

export type Budget = { readonly seconds: number } | { readonly work: number };

export interface Search {
  readonly request: MarkerRequest;
  readonly seed: number;
  readonly threads: number;
  readonly budget: Budget;
  /** Places of an earlier layout to begin from. */
  readonly startFrom?: readonly StartPlace[];
  /** Told four times a second how far it is, 0 to 1. */
  readonly onProgress: (fraction: number) => void;
}

/** The best certified marker, and what went wrong on the way to it: faults of the program, not of the request. */
export interface Found {
  readonly marker: Marker;
  readonly refused: readonly RefusedLayout[];
  /** Chains that broke off, with what they said; the marker is then the best of the others and of what they had found. */
  readonly broken: readonly { readonly chain: number; readonly says: string }[];
}

/** A thread that is asked to stop answers between two steps; one that is building a table is not waited for longer. */
const LAST_WORD_MS = 100;

/**
 * Independent chains of one search, one per thread, and the best certified marker of all.
 *
 * With a budget of work the answer depends on request, seed and threads alone. With a budget of seconds, or after
 * `stop`, it is the best certified by then; a thread that does not answer in time is left out with what it said last.
 */
export class MarkerThreads {
  private readonly stopFlag = new Int32Array(new SharedArrayBuffer(4));
  private readonly workers: Worker[] = [];
  private readonly latest = new Map<number, Marker>();
  private readonly work = new Map<number, number>();
  private readonly refused: RefusedLayout[] = [];
  private readonly broken: { chain: number; says: string }[] = [];
  private finish: (() => void) | undefined;
  private isClosing = false;

  constructor(private readonly search: Search) {}

  async lay(): Promise<Found> {
    const { threads, budget } = this.search;
    const startedAt = performance.now();
    const over = new Promise<void>((finish) => {
      this.finish = finish;
    });
    for (let chain = 0; chain < threads; chain++)
      this.start('lay', chain, 'work' in budget ? budget.work : Infinity);
    const deadline =
      'seconds' in budget ? setTimeout(() => this.stop(), Math.max(0, budget.seconds * 1000)) : undefined;
    const ticking = setInterval(() => this.search.onProgress(this.fraction(startedAt)), 250);
    try {
      await over;
    } finally {
      clearTimeout(deadline);
      clearInterval(ticking);
      // Whoever cancels waits for the marker, not for threads to end.
      void this.close();
    }
    const marker = bestOf([...this.latest.values()]) ?? this.byBoxes();
    return { marker, refused: this.refused, broken: this.broken };
  }

  /** What every chain begins with, for a search that is stopped before a thread has come up. */
  private byBoxes(): Marker {
    const { request, seed } = this.search;
    const answer = planMarker(request);
    if (!answer.ok) throw new Error(`PLAN_REFUSED ${answer.problems[0].code}`);
    return new MarkerEngine(answer.plan, { seed, chain: 0 }).best();
  }

  /** Which whole garments fit on the cloth there is; undefined when stopped before it was known. */
  async wholeGarments(work: number): Promise<WholeGarments | undefined> {
    Atomics.store(this.stopFlag, 0, 0);
    const worker = this.start('whole-garments', 0, work);
    try {
      return await new Promise((resolve, reject) => {
        worker.on('message', (report: MarkerReport) => {
          if (report.kind === 'whole-garments') resolve(report.answer);
        });
        worker.on('error', reject);
        worker.on('exit', () => resolve(undefined));
      });
    } finally {
      await this.close();
    }
  }

  /** End the search now; `lay` then answers with the best there is, within a fifth of a second. */
  stop(): void {
    Atomics.store(this.stopFlag, 0, 1);
    setTimeout(() => this.finish?.(), LAST_WORD_MS).unref();
  }

  private start(kind: MarkerOrder['kind'], chain: number, work: number): Worker {
    const { request, seed, startFrom } = this.search;
    const options = { seed, chain, ...(startFrom === undefined ? {} : { startFrom }) };
    const order: MarkerOrder = { kind, request, options, work, stop: this.stopFlag };
    const worker = new Worker(new URL('./marker-worker.js', import.meta.url), { workerData: order });
    this.workers.push(worker);
    worker.on('message', (report: MarkerReport) => this.hear(chain, report));
    // One chain that breaks off must not cost what it and the others have found.
    worker.on('error', (error: Error) => this.breakOff(chain, error.message));
    worker.on('exit', (code) => this.breakOff(chain, `its thread ended with ${code}`));
    return worker;
  }

  private hear(chain: number, report: MarkerReport): void {
    if (report.kind === 'progress') this.work.set(chain, report.work);
    if (report.kind === 'better' || report.kind === 'done') this.latest.set(chain, report.marker);
    if (report.kind !== 'done') return;
    this.refused.push(...report.refused);
    this.end(chain);
  }

  private breakOff(chain: number, says: string): void {
    if (this.isClosing || this.work.get(chain) === Infinity) return;
    this.broken.push({ chain, says });
    this.end(chain);
  }

  private end(chain: number): void {
    this.work.set(chain, Infinity);
    const isOver = [...this.work.values()].filter((work) => work === Infinity).length === this.search.threads;
    if (isOver) this.finish?.();
  }

  private fraction(startedAt: number): number {
    const { budget, threads } = this.search;
    if ('seconds' in budget) return (performance.now() - startedAt) / 1000 / budget.seconds;
    let sum = 0;
    for (const work of this.work.values()) sum += Math.min(work, budget.work);
    return sum / threads / budget.work;
  }

  private async close(): Promise<void> {
    this.isClosing = true;
    await Promise.all(this.workers.splice(0).map((worker) => worker.terminate()));
  }
}
