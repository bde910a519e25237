import { Worker } from 'node:worker_threads';
import type { SurveyOptions } from '#pipeline';
import type { TableRow } from './bodies-table.js';
import type { SurveyedRow } from './survey-row.js';

interface Task {
  readonly rows: readonly TableRow[];
  readonly done: (rows: SurveyedRow[]) => void;
  readonly failed: (error: Error) => void;
}

/** Threads that survey rows, each one list at a time. A thread that fails takes the whole survey with it. */
export class SurveyThreads {
  private readonly idle: Worker[];
  private readonly all: readonly Worker[];
  private readonly waiting: Task[] = [];
  private readonly running = new Map<Worker, Task>();

  constructor(count: number, options: SurveyOptions) {
    const file = new URL('./survey-worker.js', import.meta.url);
    this.all = Array.from({ length: count }, () => new Worker(file, { workerData: options }));
    this.idle = [...this.all];
    for (const worker of this.all) {
      worker.on('message', (rows: SurveyedRow[]) => this.finish(worker, rows));
      worker.on('error', (error: Error) => this.fail(error));
    }
  }

  survey(rows: readonly TableRow[]): Promise<SurveyedRow[]> {
    return new Promise((done, failed) => {
      this.waiting.push({ rows, done, failed });
      this.start();
    });
  }

  async close(): Promise<void> {
    await Promise.all(this.all.map((worker) => worker.terminate()));
  }

  private start(): void {
    while (this.idle.length > 0 && this.waiting.length > 0) {
      const worker = this.idle.pop() as Worker;
      const task = this.waiting.shift() as Task;
      this.running.set(worker, task);
      worker.postMessage(task.rows);
    }
  }

  private finish(worker: Worker, rows: SurveyedRow[]): void {
    this.running.get(worker)?.done(rows);
    this.running.delete(worker);
    this.idle.push(worker);
    this.start();
  }

  private fail(error: Error): void {
    for (const task of [...this.running.values(), ...this.waiting]) task.failed(error);
    this.running.clear();
    this.waiting.length = 0;
  }
}
