import { tasksIn } from '#compute';
import { readDraftRequest, type Problem } from '#contracts';
import type { Deliverables } from '#deliverables';
import type { DraftId, JsonObject, Outcome, StoredDraft } from '#persistence';
import type { JobOutcome } from '#queue';
import { keepFiles } from './keep-files.js';
import { draftKind, type Held } from './work-kind.js';
import type { Prepared, Production } from './work-processor.js';
import type { WorkerParts } from './worker-parts.js';

const TASK = tasksIn<typeof import('./produce-draft.task.js')>(
  new URL('./produce-draft.task.js', import.meta.url),
)('produceDraftTask');

export interface ProductionOptions {
  readonly engine: string;
  readonly deadlineMs: number;
}

/** How a draft is made. */
export class DraftProduction implements Production<DraftId, StoredDraft, Deliverables> {
  readonly kind;

  constructor(
    private readonly parts: WorkerParts,
    private readonly options: ProductionOptions,
  ) {
    this.kind = draftKind(parts);
  }

  async prepare({ shopId, id }: Held<DraftId>): Promise<Prepared<Deliverables>> {
    const { database, drafts, compute } = this.parts;
    const stored = await drafts.findRequest(database.session, shopId, id);
    if (stored === undefined) return undefined;
    const read = readDraftRequest(stored);
    if (!read.ok) return { reason: noLongerFits(read.problems) };
    const { engine, deadlineMs } = this.options;
    const { request } = read;
    return { deadlineMs, compute: (options) => compute.run(TASK, { request, engine }, options) };
  }

  async finish({ shopId, id, attempt }: Held<DraftId>, made: Deliverables): Promise<JobOutcome> {
    const { database, moves, now, logger } = this.parts;
    const moved = await keepFiles(this.parts, made.files, () =>
      database.unitOfWork.run(async (tx) => {
        const ended = await moves.finish(tx, shopId, id, attempt, outcomeOf(made, now()));
        if (ended.moved) await this.kind.announce(tx, shopId, ended.work);
        return ended;
      }),
    );
    if (!moved.moved) return 'skipped';
    logger.info(`draft.${moved.work.state === 'ready' ? 'ready' : 'needs-attention'}`, {
      shopId,
      draftId: id,
      attempt,
    });
    return 'done';
  }
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

/** A request that an earlier release accepted. Pointers and codes only: what was found may be a measure. */
export function noLongerFits(problems: readonly Problem[]): string {
  const shown = problems.slice(0, 5).map(({ pointer, code }) => `${pointer === '' ? '/' : pointer} ${code}`);
  return `The stored request is not one this release can read: ${shown.join('; ')}. Send it anew.`;
}
