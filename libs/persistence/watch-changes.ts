import { setTimeout as sleep } from 'node:timers/promises';
import pg from 'pg';
import type { CheckId, DraftId, ExportId, MarkerId, ShopId } from './ids.js';

export type ChangingId = DraftId | ExportId | MarkerId | CheckId;

export interface Change {
  readonly shopId: ShopId;
  readonly id: ChangingId;
}

export interface WatchOptions {
  readonly url: string;
  /** Something visible of it has changed, or it is new. Look at the row: the change itself is not told. */
  readonly onChange: (change: Change) => void;
  /** Changes may have been missed (at the beginning, and after a cut): look at every row that is shown. */
  readonly onGap: () => void;
}

export interface ChangeWatch {
  close(): Promise<void>;
}

const RECONNECT_MS_MIN = 250;

/** A server that restarts is back within seconds; waiting longer only makes what is shown older. */
const RECONNECT_MS_MAX = 5_000;

/**
 * Hear of changes of drafts, exports, markers and checks the moment they are committed, on a connection of its own.
 *
 * A hint and no more: a change may go unheard while the connection is cut, so whoever shows progress also
 * looks at the row every few seconds. Does not work through a pooler that shares connections between
 * transactions, because LISTEN belongs to one connection.
 */
export function watchChanges(options: WatchOptions): ChangeWatch {
  const closing = new AbortController();
  const watching = keepListening(options, closing.signal);
  return {
    close: async () => {
      closing.abort();
      await watching;
    },
  };
}

async function keepListening(options: WatchOptions, closing: AbortSignal): Promise<void> {
  let waitMs = RECONNECT_MS_MIN;
  while (!closing.aborted) {
    if (await listenUntilCut(options, closing)) waitMs = RECONNECT_MS_MIN;
    await sleep(waitMs, undefined, { signal: closing }).catch(() => undefined); // closed while waiting
    waitMs = Math.min(waitMs * 2, RECONNECT_MS_MAX);
  }
}

/** Whether it ever listened. */
async function listenUntilCut(
  { url, onChange, onGap }: WatchOptions,
  closing: AbortSignal,
): Promise<boolean> {
  const client = new pg.Client({ connectionString: url, keepAlive: true });
  const ended = new Promise<void>((resolve) => {
    client.once('end', resolve);
    client.on('error', () => resolve());
    closing.addEventListener('abort', () => resolve(), { once: true });
  });
  client.on('notification', ({ payload = '' }) => {
    const [shopId, id] = payload.split(' ');
    onChange({ shopId: shopId as ShopId, id: id as ChangingId });
  });
  try {
    await client.connect();
    await client.query('LISTEN draft_changed');
  } catch {
    await client.end().catch(() => undefined);
    return false; // tried again, for as long as it takes
  }
  onGap();
  await ended;
  await client.end().catch(() => undefined);
  return true;
}
