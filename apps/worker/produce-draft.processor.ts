import { ComputeError, tasksIn } from '#compute';
import { readDraftRequest, type DraftRequest, type JobPayload, type Problem } from '#contracts';
import type { Deliverables } from '#deliverables';
import type { DraftId, JsonObject, Outcome, ShopId, StoredDraft } from '#persistence';
import type { JobContext, JobOutcome } from '#queue';
import { announceLater, failDraft } from './end-draft.js';
import { whileHeld } from './while-held.js';
import { OperationalError, mayPass, sorted } from './worker-error.js';
import type { WorkerParts } from './worker-parts.js';

const TASK = tasksIn<typeof import('./produce-draft.task.js')>(
  new URL('./produce-draft.task.js', import.meta.url),
)('produceDraftTask');

/**
 * Beginnings of one draft at most, whoever began. A worker that is killed does not use up an attempt of its job, so
 * without this a draft that takes its worker down would go round for ever.
 */
const BEGINNINGS_MAX = 10;

export interface ProduceDraftOptions {
  readonly engine: string;
  readonly deadlineMs: number;
}

/** A draft that this worker has begun and holds. */
interface Held {
  readonly shopId: ShopId;
  readonly id: DraftId;
  readonly attempt: number;
}

/** Draft what was accepted: load, begin, compute in the pool, store the files, end with the announcement. */
export class ProduceDraftProcessor {
  constructor(
    private readonly parts: WorkerParts,
    private readonly options: ProduceDraftOptions,
  ) {}

  async run(payload: JobPayload<'produce-draft'>, context: JobContext): Promise<JobOutcome> {
    const shopId = payload.shopId as ShopId;
    const held = await this.begin(shopId, payload.draftId as DraftId);
    if (held === undefined) return 'skipped';
    try {
      return await this.produce(held, context);
    } catch (thrown) {
      const error = sorted(thrown);
      if (!mayPass(error)) await failDraft(this.parts, shopId, held.id, held.attempt, OUR_MISTAKE);
      else if (context.attempt >= context.attemptsMax)
        await failDraft(this.parts, shopId, held.id, held.attempt, exhausted(error));
      throw error;
    }
  }

  /** Undefined when there is nothing to do: it has ended, is gone, or another worker was first. */
  private async begin(shopId: ShopId, id: DraftId): Promise<Held | undefined> {
    const { database, drafts, moves, now } = this.parts;
    const draft = await drafts.find(database.session, shopId, id);
    if (draft === undefined || !isUnfinished(draft)) return undefined;
    const moved = await database.unitOfWork.run((tx) =>
      moves.begin(tx, shopId, id, {
        afterAttempt: draft.attempt,
        engineVersion: this.options.engine,
        now: now(),
      }),
    );
    return moved.moved ? { shopId, id, attempt: moved.draft.attempt } : undefined;
  }

  private async produce(held: Held, context: JobContext): Promise<JobOutcome> {
    const { shopId, id, attempt } = held;
    if (attempt > BEGINNINGS_MAX) {
      await failDraft(this.parts, shopId, id, attempt, BEGUN_TOO_OFTEN);
      return 'done';
    }
    const read = await this.request(held);
    if (read === undefined) return 'skipped';
    if (!read.ok) {
      await failDraft(this.parts, shopId, id, attempt, noLongerFits(read.problems));
      return 'done';
    }
    const made = await this.compute(held, read.request, context);
    if (made === 'lost') return 'skipped';
    return this.finish(held, made);
  }

  private async request({ shopId, id }: Held) {
    const { database, drafts } = this.parts;
    const stored = await drafts.findRequest(database.session, shopId, id);
    return stored === undefined ? undefined : readDraftRequest(stored);
  }

  private async compute(
    { shopId, id, attempt }: Held,
    request: DraftRequest,
    context: JobContext,
  ): Promise<Deliverables | 'lost'> {
    const { compute, database, moves, now } = this.parts;
    const { engine, deadlineMs } = this.options;
    const keep = (): Promise<boolean> => moves.keep(database.session, shopId, id, attempt, now());
    return whileHeld({ keep, signal: context.signal }, async ({ signal, lose }) => {
      let reporting: Promise<void> = Promise.resolve();
      const report = async (stage: string, fraction: number): Promise<void> => {
        const progress = { stage, fraction, now: now() };
        const isOurs = await moves.report(database.session, shopId, id, attempt, progress).catch(() => true);
        if (!isOurs) lose();
      };
      try {
        return await compute.run(
          TASK,
          { request, engine },
          {
            deadlineMs,
            signal,
            onProgress: ({ stage, fraction }) => {
              reporting = reporting.then(() => report(stage, fraction));
            },
          },
        );
      } catch (error) {
        if (!(error instanceof ComputeError) || error.code !== 'CANCELLED') throw error;
        // Told to stop by the worker's own end, the draft is left for the next worker.
        if (context.signal.aborted) throw new OperationalError('WORKER_CLOSING');
        return 'lost';
      } finally {
        await reporting;
      }
    });
  }

  private async finish({ shopId, id, attempt }: Held, made: Deliverables): Promise<JobOutcome> {
    const { database, files, moves, now, logger } = this.parts;
    for (const { bytes } of made.files) await files.put(bytes);
    const moved = await database.unitOfWork.run(async (tx) => {
      const ended = await moves.finish(tx, shopId, id, attempt, outcomeOf(made, now()));
      if (ended.moved) await announceLater(this.parts, tx, shopId, ended.draft);
      return ended;
    });
    if (!moved.moved) {
      await this.removeOrphans(made);
      return 'skipped';
    }
    await this.putAgain(made);
    logger.info(`draft.${moved.draft.state === 'ready' ? 'ready' : 'needs-attention'}`, {
      shopId,
      draftId: id,
      attempt,
    });
    return 'done';
  }

  /** The same content, cancelled elsewhere between our writing and our commit, was removed as nobody's. */
  private async putAgain({ files }: Deliverables): Promise<void> {
    for (const { bytes, sha256 } of files)
      if (!(await this.parts.files.has(sha256))) await this.parts.files.put(bytes);
  }

  /** A draft that was cancelled or erased meanwhile leaves no file behind: files hold measures. */
  private async removeOrphans(made: Deliverables): Promise<void> {
    const { database, drafts, files } = this.parts;
    const hashes = made.files.map(({ sha256 }) => sha256);
    for (const hash of await drafts.unreferenced(database.session, hashes)) await files.remove(hash);
  }
}

export function isUnfinished({ state }: Pick<StoredDraft, 'state'>): boolean {
  return state === 'accepted' || state === 'working';
}

function outcomeOf({ files, findings, answer, requestHash }: Deliverables, now: Date): Outcome {
  const count = (level: string): number => findings.filter((finding) => finding.level === level).length;
  return {
    state: answer === 'ready' ? 'ready' : 'needs_attention',
    // Through JSON, because a finding may hold fields that are there and undefined.
    result: JSON.parse(JSON.stringify({ requestHash, findings })) as JsonObject,
    findingCounts: { info: count('info'), warning: count('warning'), stop: count('stop') },
    files: files.map(({ name, bytes, sha256, mediaType }) => ({
      name,
      sha256,
      mediaType,
      bytes: bytes.length,
    })),
    now,
  };
}

const OUR_MISTAKE =
  'The engine failed on this request, which is our mistake. Sending it again will not help; tell the operator the id of the draft.';
const BEGUN_TOO_OFTEN = `Work was begun ${BEGINNINGS_MAX} times and never came to an end. Tell the operator the id of the draft.`;

function exhausted(error: Error): string {
  const code = error instanceof ComputeError ? error.code : 'OUTSIDE_UNAVAILABLE';
  return `${EXHAUSTED[code] ?? 'The service could not finish it, because a part of it was out of reach.'} Send it again later.`;
}

const EXHAUSTED: Readonly<Record<string, string>> = {
  DEADLINE_EXCEEDED: 'It took longer than a draft may take, each time it was tried.',
  OUT_OF_MEMORY: 'It took more memory than a draft may take, each time it was tried.',
};

/** A request that an earlier release accepted. Pointers and codes only: what was found may be a measure. */
function noLongerFits(problems: readonly Problem[]): string {
  const shown = problems.slice(0, 5).map(({ pointer, code }) => `${pointer === '' ? '/' : pointer} ${code}`);
  return `The stored request is not one this release can read: ${shown.join('; ')}. Send it anew.`;
}
