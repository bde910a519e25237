import type { ComputePool } from '#compute';
import type { Logger, Metrics } from '#observability';
import type {
  CheckMoves,
  CheckRepository,
  Database,
  DeliveryRepository,
  DraftMoves,
  DraftRepository,
  DraftTokenRepository,
  ExportMoves,
  ExportRepository,
  IdempotencyRepository,
  MarkerMoves,
  MarkerRepository,
  MarkerSearchRepository,
  NewId,
  OutboxRepository,
  WebhookEndpointRepository,
} from '#persistence';
import type { JobQueue } from '#queue';
import type { FileStore } from '#storage';
import type { Deliverer } from '#webhooks';
import type { Changes } from './changes.js';
import type { JOBS } from './jobs.js';

/** Everything the processors work with; each takes what it uses of it. */
export interface WorkerParts {
  readonly database: Database;
  readonly drafts: DraftRepository;
  readonly moves: DraftMoves;
  readonly tokens: DraftTokenRepository;
  readonly exports: ExportRepository;
  readonly exportMoves: ExportMoves;
  readonly markers: MarkerRepository;
  readonly markerMoves: MarkerMoves;
  readonly checks: CheckRepository;
  readonly checkMoves: CheckMoves;
  readonly searches: MarkerSearchRepository;
  readonly deliveries: DeliveryRepository;
  readonly endpoints: WebhookEndpointRepository;
  readonly outbox: OutboxRepository;
  readonly idempotency: IdempotencyRepository;
  readonly queue: JobQueue<typeof JOBS>;
  readonly compute: ComputePool;
  /** Apart, because a marker takes a thread for minutes and drafts must not wait for it. */
  readonly markerCompute: ComputePool;
  readonly changes: Changes;
  readonly files: FileStore;
  readonly deliverer: Deliverer;
  readonly logger: Logger;
  readonly metrics: Metrics;
  readonly newId: NewId;
  readonly now: () => Date;
  readonly random: () => number;
}
