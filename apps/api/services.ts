import { randomBytes, randomUUID } from 'node:crypto';
import { openComputePool } from '#compute';
import type { Logger, Metrics } from '#observability';
import {
  AlterationRepository,
  ApiKeyRepository,
  AuditRepository,
  BlockRepository,
  BodyRepository,
  CheckMoves,
  CheckRepository,
  createIds,
  DeliveryRepository,
  DraftMoves,
  DraftRepository,
  DraftTokenRepository,
  ExportRepository,
  IdempotencyRepository,
  MarkerMoves,
  MarkerRepository,
  OutboxRepository,
  RulesProfileRepository,
  ShopRepository,
  WebhookEndpointRepository,
  type Database,
} from '#persistence';
import type { Settings } from '#settings';
import type { FileStore } from '#storage';
import { allowedReceivers } from '#webhooks';
import { AlterationsService } from './alterations.service.js';
import { Authenticator } from './authenticate.js';
import { BlocksService } from './blocks.service.js';
import { BodiesService } from './bodies.service.js';
import { ChecksService } from './checks.service.js';
import { DeliveriesService } from './deliveries.service.js';
import { DraftFilesService } from './draft-files.service.js';
import { DraftsService } from './drafts.service.js';
import { DraftTokensService } from './draft-tokens.service.js';
import { ExportsService } from './exports.service.js';
import { Feed } from './feed.js';
import type { Ground } from './ground.js';
import { HealthService } from './health.service.js';
import { Links } from './links.js';
import { MarkersService } from './markers.service.js';
import { MetricsService } from './metrics.service.js';
import { Once } from './once.js';
import { PreviewsService } from './previews.service.js';
import { RateLimit } from './rate-limit.js';
import { RulesProfilesService } from './rules-profiles.service.js';
import { WebhookEndpointsService } from './webhook-endpoints.service.js';

export interface ServicesGround {
  readonly settings: Settings;
  readonly databaseUrl: string;
  readonly database: Database;
  readonly store: FileStore;
  readonly logger: Logger;
  readonly metrics: Metrics;
  readonly now: () => number;
  readonly rate?: { readonly burst: number; readonly perSecond: number };
}

/** What a key may ask in one go after a pause, in seconds of its rate: a page of a busy shop opens with many requests. */
const BURST_SECONDS = 4;

export type Services = ReturnType<typeof createServices>;

function createRepositories() {
  return {
    drafts: new DraftRepository(),
    moves: new DraftMoves(),
    tokens: new DraftTokenRepository(),
    exports: new ExportRepository(),
    markers: new MarkerRepository(),
    markerMoves: new MarkerMoves(),
    checks: new CheckRepository(),
    checkMoves: new CheckMoves(),
    profiles: new RulesProfileRepository(),
    bodies: new BodyRepository(),
    blocks: new BlockRepository(),
    alterations: new AlterationRepository(),
    outbox: new OutboxRepository(),
    endpoints: new WebhookEndpointRepository(),
    deliveries: new DeliveryRepository(),
    shops: new ShopRepository(),
    keys: new ApiKeyRepository(),
    audit: new AuditRepository(),
  };
}

/** Every service with what it uses: the one place where the parts are put together. */
export function createServices({ database, now, logger, metrics, store, settings, ...rest }: ServicesGround) {
  const repositories = createRepositories();
  const { drafts, bodies, blocks, outbox, endpoints, deliveries, keys, tokens, audit } = repositories;
  const links = new Links();
  const newId = createIds({ now, randomBytes: (count) => randomBytes(count) });
  const ground: Ground = { database, newId, now, links, logger };
  const once = new Once(database, new IdempotencyRepository(), { now, newToken: randomUUID });
  const feed = new Feed(rest.databaseUrl);
  const { requestsPerSecond: perSecond } = settings;
  const limit = new RateLimit({ ...(rest.rate ?? { burst: BURST_SECONDS * perSecond, perSecond }), now });
  const receivers = allowedReceivers(settings.allowedReceivers);
  return {
    database,
    links,
    feed,
    authenticator: new Authenticator(database, { keys, tokens }, limit, now),
    alterations: new AlterationsService(ground, repositories.alterations, once),
    blocks: new BlocksService(ground, blocks, once),
    bodies: new BodiesService(ground, bodies, store, once),
    checks: new ChecksService(ground, { ...repositories, store }, once, feed),
    rulesProfiles: new RulesProfilesService(ground, repositories.profiles),
    deliveries: new DeliveriesService(ground, deliveries, outbox, once),
    drafts: new DraftsService(ground, repositories, once, feed),
    draftTokens: new DraftTokensService(ground, { drafts, tokens, audit, randomBytes }, once),
    exports: new ExportsService(ground, { ...repositories, store }, once, feed),
    files: new DraftFilesService(ground, drafts, store),
    health: new HealthService(database, store, outbox, now),
    markers: new MarkersService(
      ground,
      { ...repositories, store, secondsMax: settings.markerSecondsMax },
      once,
      feed,
    ),
    previews: new PreviewsService(
      ground,
      repositories,
      openComputePool({
        threads: settings.previewThreads,
        heapMbMax: settings.computeHeapMb,
        memoryMbMax: settings.computeMemoryMb,
        waitingMax: settings.computeWaitingMax,
      }),
      settings.previewDeadlineMs,
    ),
    metrics: new MetricsService(metrics, database, drafts),
    webhookEndpoints: new WebhookEndpointsService(ground, endpoints, receivers, once),
  };
}
