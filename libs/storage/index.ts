export * from './disk-file-store.js';
export type { ByteRange, FileStore, OpenedFile, StoredFile } from './file-store.js';
export * from './open-file-store.js';
export * from './s3-file-store.js';
export * from './storage-error.js';
