import { randomBytes, randomUUID } from 'node:crypto';
import type { Logger, Metrics } from '#observability';
import {
  ApiKeyRepository,
  BlockRepository,
  BodyRepository,
  createIds,
  DraftMoves,
  DraftRepository,
  IdempotencyRepository,
  OutboxRepository,
  type Database,
} from '#persistence';
import type { Settings } from '#settings';
import type { FileStore } from '#storage';
import { Authenticator } from './authenticate.js';
import { DraftFeed } from './draft-feed.js';
import { DraftsService } from './drafts.service.js';
import { Links } from './links.js';
import { Once } from './once.js';
import { RateLimit } from './rate-limit.js';

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

/** Twice as much as one shop has been seen to need is no protection; this keeps one key from taking all. */
const RATE = { burst: 400, perSecond: 100 };

export type Services = ReturnType<typeof createServices>;

/** Every service with what it uses: the one place where the parts are put together. */
export function createServices(ground: ServicesGround) {
  const { database, now, logger, rate = RATE } = ground;
  const repositories = {
    drafts: new DraftRepository(),
    moves: new DraftMoves(),
    bodies: new BodyRepository(),
    blocks: new BlockRepository(),
    outbox: new OutboxRepository(),
  };
  const links = new Links();
  const newId = createIds({ now, randomBytes: (count) => randomBytes(count) });
  const shared = { database, newId, now, links, logger };
  const once = new Once(database, new IdempotencyRepository(), { now, newToken: randomUUID });
  const feed = new DraftFeed(ground.databaseUrl, database, repositories.drafts);
  const limit = new RateLimit({ ...rate, now });
  return {
    database,
    links,
    feed,
    authenticator: new Authenticator(database, new ApiKeyRepository(), limit, now),
    drafts: new DraftsService(shared, repositories, once, feed),
  };
}
