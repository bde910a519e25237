import { JOB_PAYLOADS } from '#contracts';
import { engineVersion } from '#deliverables';
import { withLogContext, type Logger } from '#observability';
import { isId, watchDrafts, type DraftId, type ShopId } from '#persistence';
import type { JobContext, JobHandlers, JobOutcome, JobWorker, ParkedJob } from '#queue';
import type { Settings } from '#settings';
import type { DeliveryTimeouts } from '#webhooks';
import { AnnounceDraftProcessor } from './announce-draft.processor.js';
import { DeliverWebhookProcessor } from './deliver-webhook.processor.js';
import { startHealthServer } from './health-server.js';
import { JOB_NAMES, type JOBS } from './jobs.js';
import { enqueueDueDeliveries, failAbandoned, findLost, forgetFinished } from './look-after.js';
import { startLoop, type Loop } from './loop.js';
import { openParts } from './open-parts.js';
import { relayOnce } from './outbox-relay.js';
import { ProduceDraftProcessor } from './produce-draft.processor.js';
import { eraseExpired, removeOrphans } from './retention.js';
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
  const watch = watchDrafts({ url: databaseUrl, onChange: () => relay.wake(), onGap: () => relay.wake() });
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
      'announce-draft': ANNOUNCEMENTS_AT_ONCE,
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
  const produce = new ProduceDraftProcessor(parts, { engine, deadlineMs: settings.draftDeadlineMs });
  const announce = new AnnounceDraftProcessor(parts, publicUrlOf(settings));
  const deliver = new DeliverWebhookProcessor(parts);
  return {
    'produce-draft': (payload, context) =>
      attended(parts, context, payload, () => produce.run(payload, context)),
    'announce-draft': (payload, context) => attended(parts, context, payload, () => announce.run(payload)),
    'deliver-webhook': (payload, context) =>
      attended(parts, context, payload, () => deliver.run(payload, context)),
  };
}

/** Run a processor with its ids on every log line; afterwards the message that asked for it is done with. */
async function attended(
  { database, outbox }: WorkerParts,
  { jobId }: JobContext,
  { shopId, ...ids }: { readonly shopId: string; readonly draftId?: string; readonly deliveryId?: string },
  run: () => Promise<JobOutcome>,
): Promise<JobOutcome> {
  const { draftId, deliveryId } = ids;
  const fields = {
    jobId,
    shopId,
    ...(draftId === undefined ? {} : { draftId }),
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
  const parsed = JOB_PAYLOADS['produce-draft'].safeParse(payload);
  if (name !== 'produce-draft' || !parsed.success) return;
  parts.logger.warn('draft.parked', { draftId: parsed.data.draftId, reason });
  await failAbandoned(parts, parsed.data.shopId as ShopId, parsed.data.draftId as DraftId);
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

async function closeParts({ compute, deliverer, queue, database, files }: WorkerParts): Promise<void> {
  await compute.close({ graceMs: 0 });
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
