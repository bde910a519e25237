/** As much of multer (2.5.0) as is used here; it publishes no types. */
declare module 'multer' {
  import type { IncomingMessage, ServerResponse } from 'node:http';
  import type { Readable } from 'node:stream';

  export interface IncomingFile {
    readonly fieldname: string;
    readonly originalname: string;
    readonly stream: Readable & { readonly truncated?: boolean };
  }

  export interface StorageEngine {
    _handleFile(
      request: IncomingMessage,
      file: IncomingFile,
      done: (error?: unknown, kept?: object) => void,
    ): void;
    _removeFile(request: IncomingMessage, file: object, done: (error: null) => void): void;
  }

  export interface Options {
    readonly storage: StorageEngine;
    readonly limits: Readonly<Record<string, number>>;
    /** Of a file's name that does not say it: what browsers and command lines send today. */
    readonly defParamCharset: 'utf8';
  }

  type Middleware = (
    request: IncomingMessage & { body?: unknown },
    response: ServerResponse,
    next: (error?: unknown) => void,
  ) => void;

  export default function multer(options: Options): { any(): Middleware };
}
