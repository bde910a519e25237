import { readFile, stat } from 'node:fs/promises';
import {
  JSON_BYTES_MAX,
  readDraftRequest,
  readJsonText,
  textTooLarge,
  type DraftRequestRead,
  type Problem,
} from '#contracts';
import { UsageError } from './exit-code.js';

/** Read a draft request from a file. Throws UsageError when there is no such file; the rest are problems. */
export async function readRequestFile(path: string): Promise<DraftRequestRead> {
  const size = await sizeOf(path);
  if (size > JSON_BYTES_MAX) return { ok: false, problems: [textTooLarge(size)] };
  const text = decode(await readFile(path));
  if (text === undefined) return { ok: false, problems: [NOT_UTF8] };
  const json = readJsonText(text);
  return json.ok ? readDraftRequest(json.value) : json;
}

export async function sizeOf(path: string): Promise<number> {
  const found = await stat(path).catch((error: NodeJS.ErrnoException) => {
    const why =
      error.code === 'ENOENT' ? 'there is no such file' : `it cannot be read (${error.code ?? error.name})`;
    throw new UsageError([`${path}: ${why}.`]);
  });
  if (!found.isFile()) throw new UsageError([`${path}: this is not a file.`]);
  return found.size;
}

const NOT_UTF8: Problem = {
  pointer: '',
  code: 'NOT_JSON',
  found: 'bytes that are not UTF-8',
  allowed: { form: 'JSON in UTF-8 (RFC 8259)' },
  message: 'The file is not UTF-8 text.',
  action: 'Save it as UTF-8.',
};

function decode(bytes: Uint8Array): string | undefined {
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    // The decoder has one complaint only, and NOT_UTF8 words it.
    return undefined;
  }
}
