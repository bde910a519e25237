import type { DraftRequest } from '#contracts';
import type { PdfOptions } from '#render';
import { sha256 } from './manifest.js';
import { mediaTypeOf } from './media-type.js';

/** One file of a draft folder. */
export interface Deliverable {
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly sha256: string;
  readonly mediaType: string;
}

export function pdfOptions({ reference, body, dated }: DraftRequest, creator: string): PdfOptions {
  const title = `Pattern ${reference ?? body.ref}`;
  return { title, creator, ...(dated === undefined ? {} : { dated }) };
}

export function fromText(name: string, text: string): Deliverable {
  return fromBytes(name, new TextEncoder().encode(text));
}

export function fromBytes(name: string, bytes: Uint8Array): Deliverable {
  return { name, bytes, sha256: sha256(bytes), mediaType: mediaTypeOf(name) };
}
