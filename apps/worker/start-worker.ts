import { JOB_PAYLOADS } from '#contracts';
import { engineVersion } from '#deliverables';
import { withLogContext, type Logger } from '#observability';
import {
  isId,
  watchChanges,
  type CheckId,
  type DraftId,
  type ExportId,
  type MarkerId,
  type ShopId,
} from '#persistence';
import type { JobContext, JobHandlers, JobOutcome, JobWorker, ParkedJob } from '#queue';
import type { Settings } from '#settings';
import type { DeliveryTimeouts } from '#webhooks';
import { AnnounceProcessor } from './announce.processor.js';
import { CheckProduction } from './check-pattern.processor.js';
import { DeliverWebhookProcessor } from './deliver-webhook.processor.js';
import { startHealthServer } from './health-server.js';
import { JOB_NAMES, type JOBS } from './jobs.js';
import { enqueueDueDeliveries, failAbandoned, findLost, forgetFinished } from './look-after.js';
import { startLoop, type Loop } from './loop.js';
import { openParts } from './open-parts.js';
import { relayOnce } from './outbox-relay.js';
import { ExportProduction } from './make-export.processor.js';
import { MarkerProduction } from './lay-marker.processor.js';
import { DraftProduction } from './produce-draft.processor.js';
import { workKinds } from './work-kind.js';
import { WorkProcessor } from './work-processor.js';
import { eraseExpired, removeOrphans } from './retention.js';
import { SearchMarkerProcessor } from './search-marker.processor.js';
import { sorted } from './worker-error.js';
import type { WorkerParts } from './worker-parts.js';

export interface StartWorkerOptions {
  readonly settings: Settings;
  /** Of the database in use: the outside one, or the embedded one that the caller started. */
  readonly databaseUrl: string;
  readonly logger: Logger;
  readonly deliveryTimeouts?: Partial<DeliveryTimeouts>;
  /** How long work may stand still before it is looked for, when not as long as usual. */
  readonly lostMs?: number;
}

export interface RunningWorker {
  /** Of `/healthz`, `/readyz` and `/metrics`. */
  readonly port: number;
  /** Take nothing more, let what runs come to its end for as long as the settings grant, give everything back. */
  close(): Promise<'drained' | 'abandoned'>;
}

/** Between two looks at the outbox when nothing was heard; a commit is heard of within milliseconds. */
const RELAY_EVERY_MS = 500;
const DELIVERIES_EVERY_MS = 1_000;
const LOST_EVERY_MS = 5_000;
const FORGET_EVERY_MS = 600_000;
const ORPHANS_EVERY_MS = 6 * 3_600_000;
/** Announcements are a few statements each. */
const ANNOUNCEMENTS_AT_ONCE = 4;

/** Start the worker: the outbox relay, the processors, and what looks after lost work. */
export async function startWorker(options: StartWorkerOptions): Promise<RunningWorker> {
  const { settings, databaseUrl, logger } = options;
  const engine = engineVersion();
  const parts = await openParts({ ...options, userAgent: engine.replace(' ', '/') });
  readMetrics(parts);
  const worker = await startJobs(parts, settings, engine);
  const loops = startLoops(parts, settings.retentionDays, options.lostMs);
  const [relay] = loops;
  const watch = watchChanges({
    url: databaseUrl,
    onChange: ({ id }) => {
      relay.wake();
      parts.changes.tell(id);
    },
    onGap: () => relay.wake(),
  });
  const health = await startHealthServer({
    host: settings.workerHost,
    port: settings.workerPort,
    metrics: parts.metrics,
    ready: async () => {
      await parts.database.ping();
      await parts.queue.counts('produce-draft');
    },
  });
  logger.info('worker.started', {
    port: health.port,
    backend: settings.redisUrl === undefined ? 'postgres' : 'redis',
  });
  return {
    port: health.port,
    close: async () => {
      await Promise.all([watch.close(), ...loops.map((loop) => loop.close())]);
      const outcome = await worker.close({ graceMs: settings.closeGraceMs });
      await closeParts(parts);
      await health.close();
      logger.info('worker.closed', { outcome });
      await logger.flush();
      return outcome;
    },
  };
}

function startJobs(parts: WorkerParts, settings: Settings, engine: string): Promise<JobWorker> {
  const { queue, logger, metrics, random } = parts;
  return queue.startWorker({
    handlers: handlersOf(parts, settings, engine),
    concurrency: {
      'produce-draft': settings.computeThreads,
      'make-export': settings.computeThreads,
      'lay-marker': settings.markersAtOnce,
      'check-pattern': settings.computeThreads,
      'announce-draft': ANNOUNCEMENTS_AT_ONCE,
      'announce-check': ANNOUNCEMENTS_AT_ONCE,
      'announce-marker': ANNOUNCEMENTS_AT_ONCE,
      'deliver-webhook': settings.deliveriesAtOnce,
    },
    random,
    onError: (error) => logger.warn('queue.troubled', {}, error),
    onParked: (job) => onParked(parts, job),
    onAttempt: ({ name, jobId, attempt, outcome, durationMs, error }) => {
      metrics.observeJob({ name, outcome, durationMs });
      const fields = { jobName: name, jobId, attempt, outcome, durationMs: Math.round(durationMs) };
      if (error === undefined) logger.debug('job.ended', fields);
      else if (outcome === 'parked') logger.error('job.parked', fields, error);
      else logger.warn('job.retried', fields, error);
    },
  });
}

function handlersOf(parts: WorkerParts, settings: Settings, engine: string): JobHandlers<typeof JOBS> {
  const options = { engine, deadlineMs: settings.draftDeadlineMs };
  const produce = new WorkProcessor(parts, new DraftProduction(parts, options), engine);
  const print = new WorkProcessor(parts, new ExportProduction(parts, options), engine);
  const searching = { engine, secondsMax: settings.markerSecondsMax };
  const lay = new WorkProcessor(parts, new MarkerProduction(parts, searching), engine);
  const search = new SearchMarkerProcessor(parts, searching);
  const check = new WorkProcessor(parts, new CheckProduction(parts, options), engine);
  const announce = new AnnounceProcessor(parts, publicUrlOf(settings));
  const deliver = new DeliverWebhookProcessor(parts);
  return {
    'produce-draft': (payload, context) =>
      attended(parts, context, payload, () =>
        produce.run(payload.shopId as ShopId, payload.draftId as DraftId, context),
      ),
    'make-export': (payload, context) =>
      attended(parts, context, payload, () =>
        print.run(payload.shopId as ShopId, payload.exportId as ExportId, context),
      ),
    'lay-marker': (payload, context) =>
      attended(parts, context, payload, () => {
        const [shopId, markerId] = [payload.shopId as ShopId, payload.markerId as MarkerId];
        const { attempt, chain } = payload;
        if (attempt === undefined || chain === undefined) return lay.run(shopId, markerId, context);
        return search.run({ shopId, markerId, attempt, chain }, context);
      }),
    'check-pattern': (payload, context) =>
      attended(parts, context, payload, () =>
        check.run(payload.shopId as ShopId, payload.checkId as CheckId, context),
      ),
    'announce-check': (payload, context) =>
      attended(parts, context, payload, () =>
        announce.check(payload.shopId as ShopId, payload.checkId as CheckId, payload.event),
      ),
    'announce-draft': (payload, context) =>
      attended(parts, context, payload, () =>
        announce.draft(payload.shopId as ShopId, payload.draftId as DraftId, payload.event),
      ),
    'announce-marker': (payload, context) =>
      attended(parts, context, payload, () =>
        announce.marker(payload.shopId as ShopId, payload.markerId as MarkerId, payload.event),
      ),
    'deliver-webhook': (payload, context) =>
      attended(parts, context, payload, () => deliver.run(payload, context)),
  };
}

interface Ids {
  readonly shopId: string;
  readonly draftId?: string;
  readonly exportId?: string;
  readonly markerId?: string;
  readonly checkId?: string;
  readonly deliveryId?: string;
}

/** Run a processor with its ids on every log line; afterwards the message that asked for it is done with. */
async function attended(
  { database, outbox }: WorkerParts,
  { jobId }: JobContext,
  payload: Ids,
  run: () => Promise<JobOutcome>,
): Promise<JobOutcome> {
  const { shopId, draftId, exportId, markerId, checkId, deliveryId } = payload;
  const fields = {
    jobId,
    shopId,
    ...(draftId === undefined ? {} : { draftId }),
    ...(exportId === undefined ? {} : { exportId }),
    ...(markerId === undefined ? {} : { markerId }),
    ...(checkId === undefined ? {} : { checkId }),
    ...(deliveryId === undefined ? {} : { deliveryId }),
  };
  return withLogContext(fields, async () => {
    const outcome = await run().catch((thrown: unknown) => {
      throw sorted(thrown);
    });
    // When this is lost the look after lost messages does it: the job is finished.
    if (isId('outboxMessage', jobId)) await outbox.remove(database.session, [jobId]).catch(() => undefined);
    return outcome;
  });
}

/** What a job set aside means for its subject. A delivery's row says itself when it is due again. */
async function onParked(parts: WorkerParts, { name, payload, reason }: ParkedJob): Promise<void> {
  const kind = workKinds(parts).find(({ topic }) => topic === name);
  if (kind === undefined || !JOB_PAYLOADS[kind.topic].safeParse(payload).success) return;
  const ids = payload as { readonly shopId: ShopId } & Readonly<Record<string, string>>;
  const id = ids[kind.idField];
  if (id === undefined) return;
  parts.logger.warn(`${kind.word}.parked`, { [kind.idField]: id, reason });
  await failAbandoned(parts, kind, ids.shopId, id as never);
}

function startLoops(
  parts: WorkerParts,
  retentionDays: number,
  lostMs: number | undefined,
): readonly [relay: Loop, ...rest: Loop[]] {
  const loop = (everyMs: number, event: string, round: (of: WorkerParts) => Promise<'more' | 'idle'>): Loop =>
    startLoop({
      everyMs,
      round: () => round(parts),
      onError: (error) => parts.logger.warn(event, {}, error),
    });
  return [
    loop(RELAY_EVERY_MS, 'relay.troubled', relayOnce),
    loop(DELIVERIES_EVERY_MS, 'deliveries.troubled', enqueueDueDeliveries),
    loop(LOST_EVERY_MS, 'recovery.troubled', (of) => findLost(of, lostMs)),
    loop(FORGET_EVERY_MS, 'sweep.troubled', forgetFinished),
    loop(FORGET_EVERY_MS, 'retention.troubled', (of) => eraseExpired(of, retentionDays)),
    loop(ORPHANS_EVERY_MS, 'orphans.troubled', removeOrphans),
  ];
}

function readMetrics({ metrics, database, drafts, queue, compute }: WorkerParts): void {
  metrics.readFrom({
    draftsByState: async () => ({ ...(await drafts.countByState(database.session)) }),
    queueCounts: async () =>
      Object.fromEntries(
        await Promise.all(JOB_NAMES.map(async (name) => [name, { ...(await queue.counts(name)) }] as const)),
      ),
    computeLoad: () => compute.load,
  });
}

async function closeParts({
  compute,
  markerCompute,
  deliverer,
  queue,
  database,
  files,
}: WorkerParts): Promise<void> {
  await compute.close({ graceMs: 0 });
  await markerCompute.close({ graceMs: 0 });
  await deliverer.close();
  await queue.close();
  await database.close();
  files.close();
}

/** Where callers reach the API: the worker cannot ask it, so a service behind a free port or a proxy has to be told. */
function publicUrlOf({ publicUrl, host, port }: Settings): string {
  const name = host === '0.0.0.0' || host === '::' ? 'localhost' : host.includes(':') ? `[${host}]` : host;
  return (publicUrl ?? `http://${name}:${port}`).replace(/\/+$/, '');
}
