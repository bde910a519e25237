import { tasksIn } from '#compute';
import { originalName, readCheckWork } from '#contracts';
import type { CheckMade } from '#deliverables';
import type { CheckId, JsonObject, Outcome, StoredCheck } from '#persistence';
import type { JobOutcome } from '#queue';
import { keepFiles } from './keep-files.js';
import { noLongerFits, type ProductionOptions } from './produce-draft.processor.js';
import { checkKind, type Held } from './work-kind.js';
import type { Prepared, Production } from './work-processor.js';
import type { WorkerParts } from './worker-parts.js';

const TASK = tasksIn<typeof import('./check-pattern.task.js')>(
  new URL('./check-pattern.task.js', import.meta.url),
)('checkPatternTask');

/** How a pattern from outside is checked. */
export class CheckProduction implements Production<CheckId, StoredCheck, CheckMade> {
  readonly kind;

  constructor(
    private readonly parts: WorkerParts,
    private readonly options: ProductionOptions,
  ) {
    this.kind = checkKind(parts);
  }

  async prepare({ shopId, id }: Held<CheckId>): Promise<Prepared<CheckMade>> {
    const { database, checks, files, compute } = this.parts;
    const { session } = database;
    const stored = await checks.find(session, shopId, id);
    if (stored === undefined) return undefined;
    const read = readCheckWork(stored.request);
    if (!read.ok) return { reason: noLongerFits(read.problems) };
    const work = read.value;
    const original = await checks.findFile(session, shopId, id, originalName(work.kind));
    const opened = original === undefined ? undefined : await files.open(original.sha256);
    if (opened === undefined) return { reason: 'The pattern file is gone. Send it again.' };
    const chunks: Buffer[] = [];
    for await (const chunk of opened.stream) chunks.push(chunk as Buffer);
    const { engine, deadlineMs } = this.options;
    const input = { work, pattern: new Uint8Array(Buffer.concat(chunks)), engine };
    return { deadlineMs, compute: (options) => compute.run(TASK, input, options) };
  }

  async finish({ shopId, id, attempt }: Held<CheckId>, made: CheckMade): Promise<JobOutcome> {
    const { database, checkMoves, now, logger } = this.parts;
    const moved = await keepFiles(this.parts, made.files, () =>
      database.unitOfWork.run(async (tx) => {
        const ended = await checkMoves.finish(tx, shopId, id, attempt, outcomeOf(made, now()));
        if (ended.moved) await this.kind.announce(tx, shopId, ended.work);
        return ended;
      }),
    );
    if (!moved.moved) return 'skipped';
    logger.info(`check.${moved.work.state === 'ready' ? 'ready' : 'needs-attention'}`, {
      shopId,
      checkId: id,
      attempt,
    });
    return 'done';
  }
}

function outcomeOf({ files, result, findingCounts }: CheckMade, now: Date): Outcome {
  return {
    state: result.sewable ? 'ready' : 'needs_attention',
    // Through JSON, because a finding may hold fields that are there and undefined.
    result: JSON.parse(JSON.stringify(result)) as JsonObject,
    findingCounts,
    files: files.map(({ name, bytes, sha256, mediaType }) => ({
      name,
      sha256,
      mediaType,
      bytes: bytes.length,
    })),
    now,
  };
}
