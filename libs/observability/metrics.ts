import { Counter, Gauge, Histogram, Registry, collectDefaultMetrics } from 'prom-client';

/** Counts that are asked for when somebody scrapes; the truth lies elsewhere. */
export interface ScrapeSources {
  readonly draftsByState?: () => Promise<Readonly<Record<string, number>>>;
  /** Job name to state to count. */
  readonly queueCounts?: () => Promise<Readonly<Record<string, Readonly<Record<string, number>>>>>;
  readonly computeLoad?: () => { readonly running: number; readonly waiting: number };
}

export interface HttpObservation {
  readonly method: string;
  /** The route's template: a path would make a series of every id. */
  readonly route: string;
  readonly status: number;
  readonly durationMs: number;
}

export interface Metrics {
  observeHttp(observation: HttpObservation): void;
  observeJob(job: { readonly name: string; readonly outcome: string; readonly durationMs: number }): void;
  observeDelivery(delivery: { readonly outcome: string; readonly durationMs: number }): void;
  /** Where the gauges ask; may be given in parts, as the parts of a service come up. */
  readFrom(sources: ScrapeSources): void;
  /** What a scrape gets, in the Prometheus text format. */
  exposition(): Promise<{ readonly contentType: string; readonly text: string }>;
}

/** Requests answer in milliseconds, drafts take seconds. */
const HTTP_BUCKETS_S = [0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10];
const JOB_BUCKETS_S = [0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30, 60, 120];

export interface MetricsOptions {
  /** Memory, event loop lag and the like of this process as well. */
  readonly processMetrics: 'collect' | 'leave-out';
}

/** The service's metrics in a registry of their own; nothing is global, so tests and processes do not meet. */
export function createMetrics({ processMetrics }: MetricsOptions): Metrics {
  const registry = new Registry();
  if (processMetrics === 'collect') collectDefaultMetrics({ register: registry });
  const meters = createMeters(registry);
  let sources: ScrapeSources = {};
  return {
    observeHttp: ({ method, route, status, durationMs }) =>
      meters.http.observe({ method, route, status: String(status) }, durationMs / 1000),
    observeJob: ({ name, outcome, durationMs }) =>
      meters.jobs.observe({ job: name, outcome }, durationMs / 1000),
    observeDelivery: ({ outcome, durationMs }) => {
      meters.deliveries.inc({ outcome });
      meters.deliverySeconds.observe({ outcome }, durationMs / 1000);
    },
    readFrom: (more) => {
      sources = { ...sources, ...more };
    },
    exposition: async () => {
      await readSources(meters, sources);
      return { contentType: registry.contentType, text: await registry.metrics() };
    },
  };
}

type Meters = ReturnType<typeof createMeters>;

function createMeters(registry: Registry) {
  const registers = [registry];
  return {
    http: new Histogram({
      name: 'forkline_http_request_duration_seconds',
      help: 'Time to answer a request, by route template.',
      labelNames: ['method', 'route', 'status'],
      buckets: HTTP_BUCKETS_S,
      registers,
    }),
    jobs: new Histogram({
      name: 'forkline_job_duration_seconds',
      help: 'Time of one attempt at a job, by outcome.',
      labelNames: ['job', 'outcome'],
      buckets: JOB_BUCKETS_S,
      registers,
    }),
    deliveries: new Counter({
      name: 'forkline_webhook_deliveries_total',
      help: 'Attempts at webhook deliveries, by outcome.',
      labelNames: ['outcome'],
      registers,
    }),
    deliverySeconds: new Histogram({
      name: 'forkline_webhook_delivery_duration_seconds',
      help: 'Time of one attempt at a webhook delivery, by outcome.',
      labelNames: ['outcome'],
      buckets: HTTP_BUCKETS_S,
      registers,
    }),
    drafts: new Gauge({
      name: 'forkline_drafts',
      help: 'Drafts in the database, by state.',
      labelNames: ['state'],
      registers,
    }),
    queue: new Gauge({
      name: 'forkline_queue_jobs',
      help: 'Jobs in the queue, by job and state.',
      labelNames: ['job', 'state'],
      registers,
    }),
    compute: new Gauge({
      name: 'forkline_compute_tasks',
      help: 'Tasks in the compute pool, by state.',
      labelNames: ['state'],
      registers,
    }),
    scrapeFailures: new Counter({
      name: 'forkline_scrape_failures_total',
      help: 'Gauges that could not be read at a scrape.',
      labelNames: ['source'],
      registers,
    }),
  };
}

async function readSources(meters: Meters, sources: ScrapeSources): Promise<void> {
  const { draftsByState, queueCounts, computeLoad } = sources;
  await Promise.all([
    read(meters, 'drafts', draftsByState, (counts) => {
      for (const [state, count] of Object.entries(counts)) meters.drafts.set({ state }, count);
    }),
    read(meters, 'queue', queueCounts, (jobs) => {
      for (const [job, counts] of Object.entries(jobs)) {
        for (const [state, count] of Object.entries(counts)) meters.queue.set({ job, state }, count);
      }
    }),
    read(meters, 'compute', computeLoad, ({ running, waiting }) => {
      meters.compute.set({ state: 'running' }, running);
      meters.compute.set({ state: 'waiting' }, waiting);
    }),
  ]);
}

/** A source that fails leaves its gauge empty and the others whole: a missing series says more than a stale one. */
async function read<Counts>(
  meters: Meters,
  source: 'drafts' | 'queue' | 'compute',
  ask: (() => Counts | Promise<Counts>) | undefined,
  set: (counts: Counts) => void,
): Promise<void> {
  meters[source].reset();
  if (ask === undefined) return;
  try {
    set(await ask());
  } catch {
    meters.scrapeFailures.inc({ source });
  }
}
