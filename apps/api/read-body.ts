import type { IncomingMessage, ServerResponse } from 'node:http';
import type { FileStore } from '#storage';
import { readJsonBody } from './read-json-body.js';
import { readUpload } from './read-upload.js';
import { takesUpload } from './takes-upload.js';

export interface BodyLimits {
  readonly requestBytesMax: number;
  readonly patternBytesMax: number;
}

/** Middleware that reads a body as its route takes it: a form with a file where one may be sent, else JSON. */
export function readBody(store: FileStore, { requestBytesMax, patternBytesMax }: BodyLimits) {
  const json = readJsonBody(requestBytesMax, patternBytesMax);
  const form = readUpload(store, patternBytesMax);
  return (request: IncomingMessage, response: ServerResponse, next: (error?: unknown) => void): void =>
    (takesUpload(request) && isForm(request) ? form : json)(request, response, next);
}

function isForm({ headers }: IncomingMessage): boolean {
  return /^multipart\/form-data *(;|$)/i.test(headers['content-type'] ?? '');
}
