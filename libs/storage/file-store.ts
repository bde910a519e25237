import type { Readable } from 'node:stream';
import { StorageError } from './storage-error.js';

export interface StoredFile {
  /** Hash of the content, 64 hex digits: the file's only name. */
  readonly sha256: string;
  readonly bytes: number;
}

/** Bytes counted from 0, both ends included, as HTTP counts them. */
export interface ByteRange {
  readonly first: number;
  /** Missing means to the end. Past the end it means the last byte, as RFC 9110 14.1.2 has it. */
  readonly last?: number;
}

export interface OpenedFile {
  readonly stream: Readable;
  /** Of the whole file. */
  readonly bytes: number;
  /** What the stream gives. */
  readonly first: number;
  readonly last: number;
}

/**
 * Files that are written once and named by what is in them.
 *
 * The same content is the same file, so writing it again changes nothing: a worker may run twice, and two
 * writers cannot disagree. A file is there as a whole or not at all, wherever a writer is killed.
 *
 * Errors  StorageError HASH_INVALID, RANGE_UNSATISFIABLE, CONTENT_FAILED (the content's own stream broke),
 *         UNAVAILABLE (disk full, no connection ...).
 */
export interface FileStore {
  put(content: Uint8Array | AsyncIterable<Uint8Array>): Promise<StoredFile>;
  /** Undefined when there is no such file. Read the stream to its end or destroy it. */
  open(sha256: string, range?: ByteRange): Promise<OpenedFile | undefined>;
  has(sha256: string): Promise<boolean>;
  /**
   * The hashes of files that were last put before a time, in no order. For finding what nothing refers to: a writer that
   * was killed between putting a file and saying whose it is leaves one.
   */
  list(before: Date): AsyncIterable<string>;
  /** Nothing happens when there is no such file. Streams that are open go on. */
  remove(sha256: string): Promise<void>;
  /** Lets go of its connections, if it has any. */
  close(): void;
}

/** A hash becomes part of a path: nothing but a hash may. */
export function requireHash(sha256: string): void {
  if (!/^[0-9a-f]{64}$/.test(sha256)) throw new StorageError('HASH_INVALID');
}

export function resolveRange(range: ByteRange | undefined, bytes: number): { first: number; last: number } {
  const { first, last = bytes - 1 } = range ?? { first: 0 };
  if (range === undefined) return { first: 0, last: bytes - 1 };
  const wellFormed = Number.isInteger(first) && Number.isInteger(last) && first >= 0 && first <= last;
  if (!wellFormed || first >= bytes) throw new StorageError('RANGE_UNSATISFIABLE', { first, last, bytes });
  return { first, last: Math.min(last, bytes - 1) };
}
