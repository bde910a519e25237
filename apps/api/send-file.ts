import { pipeline } from 'node:stream/promises';
import type { Request, Response } from 'express';
import type { DraftFile } from '#persistence';
import type { ByteRange, OpenedFile } from '#storage';
import { ApiError } from './api-error.js';
import { isNamed, readRange } from './byte-range.js';

/**
 * Send a file, the part of it that is asked for, or that the caller has it already.
 *
 * The hash of its content is its version, so a download that broke off can be gone on with, and a file that is
 * there is never sent again.
 *
 * Source  RFC 9110, 13 (conditional requests) and 14 (range requests).
 */
export async function sendFile(
  request: Request,
  response: Response,
  file: DraftFile,
  open: (range: ByteRange | undefined) => Promise<OpenedFile>,
): Promise<void> {
  const tag = `"${file.sha256}"`;
  response.setHeader('ETag', tag);
  response.setHeader('Cache-Control', 'private, max-age=31536000, immutable');
  if (isNamed(request.get('If-None-Match'), tag)) return void response.status(304).end();
  const range = rangeOf(request, tag, file.bytes);
  setFileHeaders(response, file);
  if (request.method === 'HEAD')
    return void response.setHeader('Content-Length', file.bytes).status(200).end();
  const { stream, first, last } = await open(range);
  response.setHeader('Content-Length', last - first + 1);
  if (range !== undefined) {
    response.status(206).setHeader('Content-Range', `bytes ${first}-${last}/${file.bytes}`);
  }
  // A caller who hangs up ends the reading; there is nobody to tell.
  await pipeline(stream, response).catch((error: unknown) => {
    if (!response.destroyed) throw error;
  });
}

/** Errors  range-unsatisfiable. */
function rangeOf(request: Request, tag: string, bytes: number): ByteRange | undefined {
  if (request.method === 'HEAD') return undefined;
  const ifRange = request.get('If-Range');
  // Of another version the caller holds a part, which ours would not go on from: it gets the whole.
  if (ifRange !== undefined && ifRange !== tag) return undefined;
  const range = readRange(request.get('Range'), bytes);
  if (range !== 'unsatisfiable') return range;
  throw new ApiError('range-unsatisfiable', `The file has ${bytes} bytes.`, {
    headers: { 'Content-Range': `bytes */${bytes}` },
  });
}

function setFileHeaders(response: Response, { name, mediaType }: DraftFile): void {
  response.setHeader('Content-Type', mediaType);
  response.setHeader('Accept-Ranges', 'bytes');
  response.setHeader('Content-Disposition', `attachment; filename="${name}"`);
  response.setHeader('X-Content-Type-Options', 'nosniff');
  // A drawing may hold text that a customer sent: no browser runs anything in it.
  response.setHeader('Content-Security-Policy', "default-src 'none'; style-src 'unsafe-inline'; sandbox");
}
