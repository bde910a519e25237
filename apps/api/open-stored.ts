import type { DraftFile } from '#persistence';
import type { ByteRange, FileStore, OpenedFile } from '#storage';

/** A file that a row names and the store does not have is our loss, not the caller's mistake. */
export async function openStored(
  store: FileStore,
  { sha256 }: DraftFile,
  range: ByteRange | undefined,
): Promise<OpenedFile> {
  const opened = await store.open(sha256, range);
  if (opened === undefined) throw new Error('FILE_LOST');
  return opened;
}
