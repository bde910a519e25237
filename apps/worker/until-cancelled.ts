import type { MarkerId, ShopId } from '#persistence';
import type { WorkerParts } from './worker-parts.js';

/** Whether it is to be cancelled is looked up this often, since word of it may be lost. */
const LOOK_EVERY_MS = 1_000;

/** Work on a marker with a signal that is raised as soon as the shop wants no more of it. */
export async function untilCancelled<T>(
  { database, markers, changes }: Pick<WorkerParts, 'database' | 'markers' | 'changes'>,
  shopId: ShopId,
  id: MarkerId,
  work: (wrapUp: AbortSignal) => Promise<T>,
): Promise<T> {
  const wrapUp = new AbortController();
  const look = async (): Promise<void> => {
    const stored = await markers.find(database.session, shopId, id).catch(() => undefined);
    if (stored?.cancelRequestedAt !== undefined) wrapUp.abort();
  };
  const endListening = changes.listen(id, () => void look());
  const timer = setInterval(() => void look(), LOOK_EVERY_MS);
  try {
    await look();
    return await work(wrapUp.signal);
  } finally {
    clearInterval(timer);
    endListening();
  }
}
