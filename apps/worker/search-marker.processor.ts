import { tasksIn } from '#compute';
import type { LaidOrder } from '#laying';
import type { JsonObject, SearchKey } from '#persistence';
import type { JobContext, JobOutcome } from '#queue';
import type { MarkerOptions } from './lay-marker.processor.js';
import { understandMarker } from './understand-marker.js';
import { untilCancelled } from './until-cancelled.js';
import { whileHeld } from './while-held.js';
import { OperationalError } from './worker-error.js';
import type { WorkerParts } from './worker-parts.js';

export const SEARCH_TASK = tasksIn<typeof import('./lay-marker.task.js')>(
  new URL('./lay-marker.task.js', import.meta.url),
)('searchMarkerTask');

/** For drafting the pieces and building the tables, beside the search itself. */
export const AROUND_MS = 60_000;

/** Makes one search of a marker for whoever lays it. Nobody waits for it in vain: it is a help, and may fail. */
export class SearchMarkerProcessor {
  constructor(
    private readonly parts: WorkerParts,
    private readonly options: MarkerOptions,
  ) {}

  async run(key: SearchKey, context: JobContext): Promise<JobOutcome> {
    const { database, searches, now } = this.parts;
    const begun = await searches.begin(database.session, key, now());
    if (begun === undefined) return 'skipped';
    let found: JsonObject | undefined;
    try {
      found = await this.search(key, begun.until, context);
    } finally {
      await searches.end(database.session, key, found, now());
    }
    return 'done';
  }

  private async search(
    key: SearchKey,
    until: Date | undefined,
    context: JobContext,
  ): Promise<JsonObject | undefined> {
    const { parts } = this;
    const { database, searches, markerCompute, now } = parts;
    const { shopId, markerId, chain } = key;
    const job = await understandMarker(parts, shopId, markerId, this.options.engine);
    if (job === undefined || 'reason' in job) return undefined;
    const seconds = until === undefined ? undefined : (until.getTime() - now().getTime()) / 1000;
    if (seconds !== undefined && seconds <= 0) return undefined;
    const order = seconds === undefined ? job.order : { ...job.order, budget: { seconds } };
    const { secondsMax } = this.options;
    const searchMs = 1000 * Math.min(seconds ?? secondsMax, secondsMax);
    const keep = (): Promise<boolean> => searches.keep(database.session, key, now());
    const { found } = await whileHeld({ keep, signal: context.signal }, ({ signal }) =>
      untilCancelled(parts, shopId, markerId, (wrapUp) =>
        markerCompute
          .run(
            SEARCH_TASK,
            { ...job, order, chain, secondsMax },
            { deadlineMs: searchMs + AROUND_MS, signal, wrapUp },
          )
          .catch((error: unknown) => {
            if (context.signal.aborted) throw new OperationalError('WORKER_CLOSING', { cause: error });
            throw error;
          }),
      ),
    );
    return 'laid' in found ? jsonOf(found.laid) : undefined;
  }
}

/** Through JSON, because a layout may hold fields that are there and undefined. */
export function jsonOf(laid: LaidOrder): JsonObject {
  return JSON.parse(JSON.stringify(laid)) as JsonObject;
}
