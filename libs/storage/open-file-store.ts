import { openDiskFileStore } from './disk-file-store.js';
import type { FileStore } from './file-store.js';
import { openS3FileStore, type S3FileStoreOptions } from './s3-file-store.js';

/** Where the files of a service lie. */
export type FilePlace =
  | { readonly kind: 'folder'; readonly directory: string }
  | ({ readonly kind: 'bucket' } & S3FileStoreOptions);

/** The file store of a place, for every process of one service. `nowMs` as in `DiskFileStoreOptions`. */
export function openFileStore(place: FilePlace, nowMs: number): Promise<FileStore> {
  return place.kind === 'folder'
    ? openDiskFileStore({ directory: place.directory, nowMs })
    : openS3FileStore(place);
}
