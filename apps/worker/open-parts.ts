import { randomBytes } from 'node:crypto';
import { fileURLToPath } from 'node:url';
import { openComputePool } from '#compute';
import { createMetrics, type Logger } from '#observability';
import {
  CheckMoves,
  CheckRepository,
  DeliveryRepository,
  DraftMoves,
  DraftRepository,
  DraftTokenRepository,
  ExportMoves,
  ExportRepository,
  MarkerMoves,
  MarkerRepository,
  MarkerSearchRepository,
  IdempotencyRepository,
  OutboxRepository,
  WebhookEndpointRepository,
  createIds,
  migrate,
  openDatabase,
} from '#persistence';
import { openQueue, type QueueBackend } from '#queue';
import { filePlaceOf, type Settings } from '#settings';
import { openFileStore } from '#storage';
import { createDeliverer, type DeliveryTimeouts } from '#webhooks';
import { Changes } from './changes.js';
import { JOBS } from './jobs.js';
import type { WorkerParts } from './worker-parts.js';

export interface OpenPartsOptions {
  readonly settings: Settings;
  readonly databaseUrl: string;
  readonly logger: Logger;
  readonly userAgent: string;
  readonly deliveryTimeouts?: Partial<DeliveryTimeouts>;
}

/** This file runs as dist/apps/worker/open-parts.js. */
const MIGRATIONS = fileURLToPath(new URL('../../../prisma/migrations', import.meta.url));

/** Bring the database up to date and open everything the worker uses. */
export async function openParts(options: OpenPartsOptions): Promise<WorkerParts> {
  const { settings, databaseUrl: url, logger, userAgent, deliveryTimeouts } = options;
  await migrate({ url, directory: MIGRATIONS });
  const queue = await openQueue({
    backend: backendOf(settings, url),
    prefix: settings.queuePrefix,
    jobs: JOBS,
    onError: (error) => logger.warn('queue.troubled', {}, error),
  });
  const now = (): Date => new Date();
  const memory = {
    heapMbMax: settings.computeHeapMb,
    memoryMbMax: settings.computeMemoryMb,
    waitingMax: settings.computeWaitingMax,
  };
  return {
    database: openDatabase({ url, connectionsMax: settings.databaseConnectionsMax }),
    drafts: new DraftRepository(),
    moves: new DraftMoves(),
    tokens: new DraftTokenRepository(),
    exports: new ExportRepository(),
    exportMoves: new ExportMoves(),
    markers: new MarkerRepository(),
    markerMoves: new MarkerMoves(),
    checks: new CheckRepository(),
    checkMoves: new CheckMoves(),
    searches: new MarkerSearchRepository(),
    deliveries: new DeliveryRepository(),
    endpoints: new WebhookEndpointRepository(),
    outbox: new OutboxRepository(),
    idempotency: new IdempotencyRepository(),
    queue,
    compute: openComputePool({ ...memory, threads: settings.computeThreads }),
    markerCompute: openComputePool({ ...memory, threads: settings.markersAtOnce }),
    changes: new Changes(),
    files: await openFileStore(filePlaceOf(settings), Date.now()),
    deliverer: createDeliverer({
      allowedReceivers: settings.allowedReceivers,
      userAgent,
      now,
      ...(deliveryTimeouts === undefined ? {} : { timeouts: deliveryTimeouts }),
    }),
    logger,
    metrics: createMetrics({ processMetrics: 'collect' }),
    newId: createIds({ now: () => Date.now(), randomBytes }),
    now,
    random: Math.random,
  };
}

function backendOf({ redisUrl }: Settings, databaseUrl: string): QueueBackend {
  return redisUrl === undefined ? { kind: 'postgres', url: databaseUrl } : { kind: 'redis', url: redisUrl };
}
