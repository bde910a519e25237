import { tasksIn, type RunOptions } from '#compute';
import { readDraftRequest, readMarkerOrder, type DraftRequest } from '#contracts';
import type { MarkerMade } from '#deliverables';
import type { DraftId, JsonObject, MarkerId, MarkerOutcome, ShopId, StoredMarker } from '#persistence';
import type { JobOutcome } from '#queue';
import { failWork } from './fail-work.js';
import { keepFiles } from './keep-files.js';
import type { LayMarkerInput, MarkerEnd } from './lay-marker.task.js';
import { noLongerFits } from './produce-draft.processor.js';
import { markerKind, type Held } from './work-kind.js';
import type { Prepared, Production } from './work-processor.js';
import type { WorkerParts } from './worker-parts.js';

const TASK = tasksIn<typeof import('./lay-marker.task.js')>(new URL('./lay-marker.task.js', import.meta.url))(
  'layMarkerTask',
);

export interface MarkerOptions {
  readonly engine: string;
  /** Longest search, whatever was asked for. */
  readonly secondsMax: number;
}

type Laid = { readonly made: MarkerMade; readonly endedBy: MarkerEnd };
type Understood = Omit<LayMarkerInput, 'engine' | 'secondsMax'>;

/** For drafting the pieces, building the tables and writing the files, beside the search itself. */
const AROUND_MS = 60_000;

/** Whether it is to be cancelled is looked up this often, since word of it may be lost. */
const LOOK_EVERY_MS = 1_000;

/** How drafts are laid on cloth. */
export class MarkerProduction implements Production<MarkerId, StoredMarker, Laid> {
  readonly kind;

  constructor(
    private readonly parts: WorkerParts,
    private readonly options: MarkerOptions,
  ) {
    this.kind = markerKind(parts);
  }

  readonly columnsOf = ({ lengthMm }: Readonly<Record<string, number>>): object => ({ lengthMm });

  async prepare({ shopId, id }: Held<MarkerId>): Promise<Prepared<Laid>> {
    const understood = await this.understand(shopId, id);
    if (understood === undefined || 'reason' in understood) return understood;
    const { engine, secondsMax } = this.options;
    const { budget } = understood.order;
    const searchMs = 1000 * ('seconds' in budget ? Math.min(budget.seconds, secondsMax) : secondsMax);
    const input: LayMarkerInput = { ...understood, engine, secondsMax };
    return {
      deadlineMs: searchMs + AROUND_MS,
      compute: (options) => this.untilCancelled(shopId, id, input, options),
    };
  }

  async finish(held: Held<MarkerId>, { made, endedBy }: Laid): Promise<JobOutcome> {
    const { database, markerMoves, now, logger } = this.parts;
    const { shopId, id, attempt } = held;
    if ('refusal' in made) {
      await failWork(this.parts, this.kind, held, cannotBeLaid(made.refusal));
      return 'done';
    }
    if (made.refusedCount > 0)
      logger.error('marker.refused', { shopId, markerId: id, count: made.refusedCount }, undefined);
    const outcome = outcomeOf(made, endedBy, now());
    const moved = await keepFiles(this.parts, made.files, () =>
      database.unitOfWork.run(async (tx) => {
        const ended = await markerMoves.finish(tx, shopId, id, attempt, outcome);
        if (ended.moved) await this.kind.announce(tx, shopId, ended.work);
        return ended;
      }),
    );
    if (!moved.moved) return 'skipped';
    logger.info(`marker.${moved.work.state.replace('_', '-')}`, { shopId, markerId: id, attempt });
    return 'done';
  }

  /** The order with what its drafts were made from; or why it cannot be laid; undefined when it is gone. */
  private async understand(
    shopId: ShopId,
    id: MarkerId,
  ): Promise<Understood | { readonly reason: string } | undefined> {
    const { database, drafts, markers } = this.parts;
    const stored = await markers.find(database.session, shopId, id);
    if (stored === undefined) return undefined;
    const read = readMarkerOrder(stored.request);
    if (!read.ok) return { reason: noLongerFits(read.problems) };
    const requests: DraftRequest[] = [];
    for (const { draftId } of read.value.drafts) {
      const draft = await drafts.find(database.session, shopId, draftId as DraftId);
      const request = await drafts.findRequest(database.session, shopId, draftId as DraftId);
      // Erased, and the marker with it.
      if (draft === undefined || request === undefined) return undefined;
      if (draft.engineVersion !== this.options.engine) return { reason: otherEngine(draftId) };
      const understood = readDraftRequest(request);
      if (!understood.ok) return { reason: noLongerFits(understood.problems) };
      requests.push(understood.request);
    }
    return { order: read.value, drafts: requests };
  }

  /** Lay it, and end with what there is as soon as the shop wants no more. */
  private async untilCancelled(
    shopId: ShopId,
    id: MarkerId,
    input: LayMarkerInput,
    options: RunOptions,
  ): Promise<Laid> {
    const { database, markers, markerCompute, changes } = this.parts;
    const wrapUp = new AbortController();
    const look = async (): Promise<void> => {
      const stored = await markers.find(database.session, shopId, id).catch(() => undefined);
      if (stored?.cancelRequestedAt !== undefined) wrapUp.abort();
    };
    const endListening = changes.listen(id, () => void look());
    const timer = setInterval(() => void look(), LOOK_EVERY_MS);
    try {
      await look();
      return await markerCompute.run(TASK, input, { ...options, wrapUp: wrapUp.signal });
    } finally {
      clearInterval(timer);
      endListening();
    }
  }
}

type Made = Exclude<MarkerMade, { readonly refusal: unknown }>;

function outcomeOf(
  { files, findings, result, lengthMm }: Made,
  endedBy: MarkerEnd,
  now: Date,
): MarkerOutcome {
  const count = (level: string): number => findings.filter((finding) => finding.level === level).length;
  const whole = result.left.length === 0 ? 'ready' : 'needs_attention';
  return {
    state: endedBy === 'cancelled' ? 'cancelled' : whole,
    // Through JSON, because a finding may hold fields that are there and undefined.
    result: JSON.parse(JSON.stringify({ ...result, endedBy, findings })) as JsonObject,
    lengthMm,
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

const SAID_MAX = 5;

function cannotBeLaid(refusal: Extract<MarkerMade, { readonly refusal: unknown }>['refusal']): string {
  const said = refusal.slice(0, SAID_MAX).map(({ pointer, code, says }) => `${pointer} ${code}: ${says}`);
  const more = refusal.length > SAID_MAX ? ` And ${refusal.length - SAID_MAX} more.` : '';
  return `It cannot be laid. ${said.join('. ')}.${more}`;
}

function otherEngine(draftId: string): string {
  return `Draft ${draftId} was made by another version of the service; it might come out otherwise. Send it again and lay that.`;
}
