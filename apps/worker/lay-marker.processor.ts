import { tasksIn, type RunOptions } from '#compute';
import type { MarkerJob, MarkerMade } from '#deliverables';
import type { LaidOrder } from '#laying';
import type { JsonObject, MarkerId, MarkerOutcome, StoredMarker } from '#persistence';
import type { JobOutcome } from '#queue';
import { failWork } from './fail-work.js';
import { keepFiles } from './keep-files.js';
import type { MarkerEnd } from './lay-marker.task.js';
import { MarkerSearches } from './marker-searches.js';
import { AROUND_MS, jsonOf, SEARCH_TASK } from './search-marker.processor.js';
import { understandMarker } from './understand-marker.js';
import { untilCancelled } from './until-cancelled.js';
import { markerKind, type Held } from './work-kind.js';
import type { Prepared, Production } from './work-processor.js';
import type { WorkerParts } from './worker-parts.js';

const TASKS = tasksIn<typeof import('./lay-marker.task.js')>(
  new URL('./lay-marker.task.js', import.meta.url),
);

export interface MarkerOptions {
  readonly engine: string;
  /** Longest search, whatever was asked for. */
  readonly secondsMax: number;
}

type Laid = { readonly made: MarkerMade; readonly endedBy: MarkerEnd };
/** How drafts are laid on cloth. */
export class MarkerProduction implements Production<MarkerId, StoredMarker, Laid> {
  readonly kind;
  private readonly searches: MarkerSearches;

  constructor(
    private readonly parts: WorkerParts,
    private readonly options: MarkerOptions,
  ) {
    this.kind = markerKind(parts);
    this.searches = new MarkerSearches(parts);
  }

  readonly columnsOf = ({ lengthMm }: Readonly<Record<string, number>>): object => ({ lengthMm });

  async prepare(held: Held<MarkerId>): Promise<Prepared<Laid>> {
    const job = await understandMarker(this.parts, held.shopId, held.id, this.options.engine);
    if (job === undefined || 'reason' in job) return job;
    const { secondsMax } = this.options;
    const { budget } = job.order;
    const searchMs = 1000 * ('seconds' in budget ? Math.min(budget.seconds, secondsMax) : secondsMax);
    return {
      deadlineMs: searchMs + AROUND_MS,
      compute: (options) => this.lay(held, job, options),
    };
  }

  async finish(held: Held<MarkerId>, { made, endedBy }: Laid): Promise<JobOutcome> {
    const { database, markerMoves, searches, now, logger } = this.parts;
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
        if (ended.moved) {
          await searches.remove(tx, { shopId, markerId: id });
          await this.kind.announce(tx, shopId, ended.work);
        }
        return ended;
      }),
    );
    if (!moved.moved) return 'skipped';
    logger.info(`marker.${moved.work.state.replace('_', '-')}`, { shopId, markerId: id, attempt });
    return 'done';
  }

  /** Lay it, and end with what there is as soon as the shop wants no more. */
  private lay(held: Held<MarkerId>, job: MarkerJob, options: RunOptions): Promise<Laid> {
    return untilCancelled(this.parts, held.shopId, held.id, (wrapUp) => {
      const { engine, secondsMax } = this.options;
      const running = { ...options, wrapUp };
      if (job.order.searches === 1)
        return this.parts.markerCompute.run(TASKS('layMarkerTask'), { ...job, engine, secondsMax }, running);
      return this.laySeveral(held, job, running);
    });
  }

  /** One search here, the others wherever a thread is free, and the best of them all. */
  private async laySeveral(
    held: Held<MarkerId>,
    job: MarkerJob,
    running: RunOptions & { readonly wrapUp: AbortSignal },
  ): Promise<Laid> {
    const { markerCompute, now } = this.parts;
    const { engine, secondsMax } = this.options;
    const { budget, searches } = job.order;
    const until =
      'seconds' in budget
        ? new Date(now().getTime() + 1000 * Math.min(budget.seconds, secondsMax))
        : undefined;
    await this.searches.start(held, searches, until);
    const search = (chain: number, onProgress: RunOptions['onProgress']) =>
      markerCompute.run(
        SEARCH_TASK,
        { ...job, chain, secondsMax },
        {
          ...running,
          onProgress: onProgress ?? (() => undefined),
        },
      );
    const { found, endedBy } = await search(0, running.onProgress);
    if ('refusal' in found) return { made: found, endedBy };
    const searchHere = async (chain: number): Promise<JsonObject> => {
      const { found: more } = await search(chain, undefined);
      if ('refusal' in more) throw new Error('REFUSED_ONCE_ONLY');
      return jsonOf(more.laid);
    };
    const others =
      until === undefined && endedBy === 'budget'
        ? await this.searches.all(held, searchHere, ...[running.wrapUp, running.signal].filter(isSignal))
        : await this.searches.inTime(held, until ?? now(), running.wrapUp);
    const laid = [found.laid, ...(others as unknown as readonly LaidOrder[])];
    const made = await markerCompute.run(TASKS('writeMarkerTask'), { ...job, engine, found: laid }, running);
    return { made, endedBy: running.wrapUp.aborted ? 'cancelled' : endedBy };
  }
}

function isSignal(signal: AbortSignal | undefined): signal is AbortSignal {
  return signal !== undefined;
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
