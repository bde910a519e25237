import type { IncomingMessage, ServerResponse } from 'node:http';
import { readJsonText } from '#contracts';
import { takesUpload } from './takes-upload.js';
import { ApiError, toFieldProblem } from './api-error.js';

type Next = (error?: unknown) => void;
type WithBody = IncomingMessage & { body?: unknown };

const JSON_TYPE = /^application\/([a-z0-9.+-]+\+)?json *(; *charset="?utf-8"? *)?$/i;

/**
 * Middleware that reads a JSON body by our own reader, which says where a text is not JSON and refuses a name that
 * stands twice. `uploadBytesMax` is what a form with a file may hold, for whoever sends too much here.
 *
 * Errors  request-malformed, request-too-large, media-type-unsupported.
 */
export function readJsonBody(bytesMax: number, uploadBytesMax: number) {
  return (request: WithBody, _response: ServerResponse, next: Next): void => {
    request.body = undefined;
    if (!hasBody(request)) return next();
    readBytes(request, bytesMax, uploadBytesMax)
      .then((bytes) => {
        request.body = bytes.length === 0 ? undefined : readJson(bytes);
        next();
      })
      .catch(next);
  };
}

function hasBody({ headers }: IncomingMessage): boolean {
  return headers['transfer-encoding'] !== undefined || Number(headers['content-length'] ?? 0) > 0;
}

async function readBytes(
  request: IncomingMessage,
  bytesMax: number,
  uploadBytesMax: number,
): Promise<Buffer> {
  const { 'content-type': type = '', 'content-encoding': encoding = 'identity' } = request.headers;
  if (!JSON_TYPE.test(type) || encoding !== 'identity') {
    request.resume();
    const form = takesUpload(request) ? ', or a file as "multipart/form-data"' : '';
    throw new ApiError(
      'media-type-unsupported',
      `Send JSON in UTF-8, as "Content-Type: application/json"${form}.`,
      {
        headers: { Accept: 'application/json' },
      },
    );
  }
  const parts: Buffer[] = [];
  let bytes = 0;
  // Not destroyed at the end of the loop: the answer goes out by the same socket.
  for await (const part of request.iterator({ destroyOnReturn: false }) as AsyncIterable<Buffer>) {
    bytes += part.length;
    if (bytes > bytesMax) break;
    parts.push(part);
  }
  if (bytes > bytesMax) {
    request.resume();
    throw tooLarge(request, bytesMax, uploadBytesMax);
  }
  return Buffer.concat(parts);
}

function tooLarge(request: IncomingMessage, bytesMax: number, uploadBytesMax: number): ApiError {
  const announced = request.headers['content-length'];
  const found = announced === undefined ? `more than ${bytesMax} bytes` : `${Number(announced)} bytes`;
  const allowed = `at most ${bytesMax} bytes of JSON`;
  const action = takesUpload(request)
    ? `Send the pattern as a file, as multipart/form-data, where ${uploadBytesMax} bytes of it are read.`
    : 'Send less at a time.';
  return new ApiError(
    'request-too-large',
    `The body is too large: ${found}; allowed: ${allowed}. ${action}`,
    {
      headers: { Connection: 'close' },
      errors: [{ in: 'body', pointer: '', code: 'TOO_LARGE', found, allowed, detail: action }],
    },
  );
}

function readJson(bytes: Buffer): unknown {
  let text: string;
  try {
    text = new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw new ApiError('request-malformed', 'The body is not UTF-8. Send it in UTF-8.');
  }
  const read = readJsonText(text);
  if (read.ok) return read.value;
  const errors = read.problems.map((problem) => toFieldProblem('body', problem));
  throw new ApiError('request-malformed', 'The body is not JSON that can be read.', { errors });
}
