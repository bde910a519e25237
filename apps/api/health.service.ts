import type { Database, OutboxRepository } from '#persistence';
import type { FileStore } from '#storage';

export interface Readiness {
  readonly ready: boolean;
  readonly checks: {
    readonly database: 'ok' | 'failed';
    readonly store: 'ok' | 'failed';
    /** `late` does not make the API unready: it still takes orders, and taking it out would not bring a worker back. */
    readonly outbox: 'ok' | 'late' | 'failed';
  };
  readonly outbox: { readonly waiting: number; readonly oldestSeconds: number };
}

/** A message that has waited this long is taken for one that nobody fetches: no worker runs. */
const OUTBOX_AGE_S_MAX = 60;

const CHECK_MS_MAX = 3_000;

/** Asked of the store to see whether it answers; nothing has this hash. */
const NO_FILE = '0'.repeat(64);

/** Says whether the service can do its work, and whose fault it is when it cannot. */
export class HealthService {
  constructor(
    private readonly database: Database,
    private readonly store: FileStore,
    private readonly outbox: OutboxRepository,
    private readonly now: () => number,
  ) {}

  async readiness(): Promise<Readiness> {
    const [database, store, backlog] = await Promise.all([
      answers(this.database.ping()),
      answers(this.store.has(NO_FILE)),
      answers(this.outbox.backlog(this.database.session)),
    ]);
    const { count = 0, oldest } = backlog.value ?? {};
    const oldestSeconds = oldest === undefined ? 0 : Math.max(0, (this.now() - oldest.getTime()) / 1000);
    const checks = {
      database: database.state,
      store: store.state,
      outbox: oldestSeconds > OUTBOX_AGE_S_MAX ? 'late' : backlog.state,
    } as const;
    const ready = Object.values(checks).every((state) => state !== 'failed');
    return { ready, checks, outbox: { waiting: count, oldestSeconds: Math.round(oldestSeconds) } };
  }
}

async function answers<T>(
  asked: Promise<T>,
): Promise<{ state: 'ok'; value: T } | { state: 'failed'; value?: never }> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<never>((_, reject) => {
    timer = setTimeout(() => reject(new Error('CHECK_LATE')), CHECK_MS_MAX);
  });
  try {
    return { state: 'ok', value: await Promise.race([asked, late]) };
  } catch {
    return { state: 'failed' };
  } finally {
    clearTimeout(timer);
  }
}
