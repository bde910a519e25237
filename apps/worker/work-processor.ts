import { ComputeError, type Progress, type RunOptions } from '#compute';
import type { ShopId } from '#persistence';
import type { JobContext, JobOutcome } from '#queue';
import { failWork } from './fail-work.js';
import { whileHeld } from './while-held.js';
import { isUnfinished, type Held, type Work, type WorkKind } from './work-kind.js';
import { mayPass, OperationalError, sorted } from './worker-error.js';
import type { WorkerParts } from './worker-parts.js';

/**
 * Beginnings of one piece of work at most, whoever began. A worker that is killed does not use up an attempt of its
 * job, so without this a draft that takes its worker down would go round for ever.
 */
const BEGINNINGS_MAX = 10;

/** What is to be computed; or in words why it never can be; undefined when the row is gone. */
export type Prepared<Made> =
  | { readonly deadlineMs: number; readonly compute: (options: RunOptions) => Promise<Made> }
  | { readonly reason: string }
  | undefined;

/** How one kind of work is done. */
export interface Production<Id extends string, Stored extends Work, Made> {
  readonly kind: WorkKind<Id, Stored>;
  prepare(held: Held<Id>): Promise<Prepared<Made>>;
  /** End it with what was made, unless somebody else has. */
  finish(held: Held<Id>, made: Made): Promise<JobOutcome>;
  /** Columns for what progress tells beside how far it is. */
  readonly columnsOf?: (figures: NonNullable<Progress['figures']>) => object;
}

/** Do what was accepted: load, begin, compute in the pool, store, end with the announcement. */
export class WorkProcessor<Id extends string, Stored extends Work, Made> {
  constructor(
    private readonly parts: Pick<WorkerParts, 'database' | 'now' | 'logger'>,
    private readonly production: Production<Id, Stored, Made>,
    private readonly engine: string,
  ) {}

  async run(shopId: ShopId, id: Id, context: JobContext): Promise<JobOutcome> {
    const held = await this.begin(shopId, id);
    if (held === undefined) return 'skipped';
    try {
      return await this.produce(held, context);
    } catch (thrown) {
      const error = sorted(thrown);
      if (!mayPass(error)) await this.fail(held, this.ourMistake);
      else if (context.attempt >= context.attemptsMax) await this.fail(held, this.exhausted(error));
      throw error;
    }
  }

  /** Undefined when there is nothing to do: it has ended, is gone, or another worker was first. */
  private async begin(shopId: ShopId, id: Id): Promise<Held<Id> | undefined> {
    const { database, now } = this.parts;
    const { find, moves } = this.production.kind;
    const work = await find(database.session, shopId, id);
    if (work === undefined || !isUnfinished(work)) return undefined;
    const beginning = { afterAttempt: work.attempt, engineVersion: this.engine, now: now() };
    const moved = await database.unitOfWork.run((tx) => moves.begin(tx, shopId, id, beginning));
    return moved.moved ? { shopId, id, attempt: moved.work.attempt } : undefined;
  }

  private async produce(held: Held<Id>, context: JobContext): Promise<JobOutcome> {
    if (held.attempt > BEGINNINGS_MAX) {
      await this.fail(held, this.begunTooOften);
      return 'done';
    }
    const prepared = await this.production.prepare(held);
    if (prepared === undefined) return 'skipped';
    if ('reason' in prepared) {
      await this.fail(held, prepared.reason);
      return 'done';
    }
    const made = await this.compute(held, prepared, context);
    return made === LOST ? 'skipped' : this.production.finish(held, made);
  }

  private async compute(
    { shopId, id, attempt }: Held<Id>,
    { compute, deadlineMs }: Exclude<Prepared<Made>, undefined | { readonly reason: string }>,
    context: JobContext,
  ): Promise<Made | typeof LOST> {
    const { database, now } = this.parts;
    const { kind, columnsOf } = this.production;
    const keep = (): Promise<boolean> => kind.moves.keep(database.session, shopId, id, attempt, now());
    return whileHeld({ keep, signal: context.signal }, async ({ signal, lose }) => {
      let reporting: Promise<void> = Promise.resolve();
      const report = async ({ stage, fraction, figures }: Progress): Promise<void> => {
        const columns = figures === undefined ? {} : (columnsOf?.(figures) ?? {});
        const progress = { stage, fraction, now: now() };
        const isOurs = await kind.moves
          .report(database.session, shopId, id, attempt, progress, columns)
          .catch(() => true);
        if (!isOurs) lose();
      };
      try {
        return await compute({
          deadlineMs,
          signal,
          onProgress: (progress) => {
            reporting = reporting.then(() => report(progress));
          },
        });
      } catch (error) {
        if (!(error instanceof ComputeError) || error.code !== 'CANCELLED') throw error;
        // Told to stop by the worker's own end, the work is left for the next worker.
        if (context.signal.aborted) throw new OperationalError('WORKER_CLOSING');
        return LOST;
      } finally {
        await reporting;
      }
    });
  }

  private async fail(held: Held<Id>, reason: string): Promise<void> {
    await failWork(this.parts, this.production.kind, held, reason);
  }

  private get ourMistake(): string {
    const { word } = this.production.kind;
    return `The engine failed on this request, which is our mistake. Sending it again will not help; tell the operator the id of the ${word}.`;
  }

  private get begunTooOften(): string {
    const { word } = this.production.kind;
    return `Work was begun ${BEGINNINGS_MAX} times and never came to an end. Tell the operator the id of the ${word}.`;
  }

  private exhausted(error: Error): string {
    const { word } = this.production.kind;
    const code = error instanceof ComputeError ? error.code : 'OUTSIDE_UNAVAILABLE';
    const says: Readonly<Record<string, string>> = {
      DEADLINE_EXCEEDED: `It took longer than ${WITH_ARTICLE[word]} may take, each time it was tried.`,
      OUT_OF_MEMORY: `It took more memory than ${WITH_ARTICLE[word]} may take, each time it was tried.`,
    };
    return `${says[code] ?? 'The service could not finish it, because a part of it was out of reach.'} Send it again later.`;
  }
}

/** The work is no longer this worker's. */
const LOST = Symbol('lost');

const WITH_ARTICLE = { draft: 'a draft', export: 'an export', marker: 'a marker', check: 'a check' } as const;
