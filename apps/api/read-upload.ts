import type { IncomingMessage, ServerResponse } from 'node:http';
import multer, { type IncomingFile, type StorageEngine } from 'multer';
import { pointerOf, type FieldProblem } from '#contracts';
import type { FileStore } from '#storage';
import { ApiError } from './api-error.js';

type Next = (error?: unknown) => void;
type WithBody = IncomingMessage & { body?: unknown };

/** A form as it was sent: its file is in the store already, its other parts are text. */
export class Upload {
  constructor(
    readonly file: UploadedFile | undefined,
    /** By the name of the part; several where it was sent several times. */
    readonly parts: ReadonlyMap<string, readonly string[]>,
    readonly fileCount: number,
  ) {}
}

export interface UploadedFile {
  /** As the sender calls it; anything at all. */
  readonly name: string;
  readonly sha256: string;
  readonly bytes: number;
  /** Its first bytes, to see what it is. */
  readonly head: Buffer;
}

/** Files that may be sent this way, and what of a form is beside them. */
const PARTS_MAX = 30;
const PART_BYTES_MAX = 256 * 1024;
const PART_NAME_BYTES_MAX = 100;
const HEAD_BYTES = 4096;
/** Boundaries, part headers and the parts beside the file. */
const AROUND_BYTES = 4 * 1024 * 1024;

/**
 * Middleware that reads a form with a file (RFC 7578). The file goes to the store as it comes, so that however many are
 * sent at once, none is held in memory; one that no row refers to afterwards is swept from the store.
 *
 * Errors  request-malformed, request-too-large, service-unavailable (the store).
 */
export function readUpload(store: FileStore, bytesMax: number) {
  return (request: WithBody, response: ServerResponse, next: Next): void => {
    const announced = Number(request.headers['content-length'] ?? 0);
    if (announced > bytesMax + AROUND_BYTES) {
      request.resume();
      return next(tooLarge(formTooLarge(bytesMax, `${announced} bytes`)));
    }
    const taken = new TakenFiles(store);
    const read = multer({
      storage: taken,
      limits: {
        fileSize: bytesMax,
        files: PARTS_MAX,
        fields: PARTS_MAX,
        parts: PARTS_MAX,
        fieldSize: PART_BYTES_MAX,
        fieldNameSize: PART_NAME_BYTES_MAX,
        headerPairs: 50,
      },
      defParamCharset: 'utf8',
    }).any();
    let isAnswered = false;
    const answer = (error?: unknown): void => {
      if (isAnswered) return;
      isAnswered = true;
      next(error);
    };
    read(request, response, (error) => {
      if (error !== undefined) return answer(refusal(error, taken.cutOff, bytesMax));
      request.body = taken.upload(request.body);
      answer();
    });
    // Who does not say how much is coming is answered here; multer would wait for the last byte of it. The connection
    // stays open: most clients read no answer while they cannot send.
    let bytes = 0;
    request.on('data', (chunk: Buffer) => {
      bytes += chunk.length;
      if (bytes > bytesMax + AROUND_BYTES)
        answer(tooLarge(formTooLarge(bytesMax, `more than ${bytesMax + AROUND_BYTES} bytes`), {}));
    });
  };
}

/** Where the files of one form go: the pattern to the store, small ones, such as settings from a file, to memory. */
class TakenFiles implements StorageEngine {
  /** The part that was longer than is read. */
  cutOff: string | undefined;
  private readonly files: UploadedFile[] = [];
  private readonly small = new Map<string, string[]>();

  constructor(private readonly store: FileStore) {}

  _handleFile(
    _request: IncomingMessage,
    file: IncomingFile,
    done: (error?: unknown, kept?: object) => void,
  ): void {
    const taken = file.fieldname === 'file' ? this.keep(file) : this.remember(file);
    taken.then(
      () => done(undefined, {}),
      (error: unknown) => done(error),
    );
  }

  /** What was put stays: the same content may be another check's by now. Nobody's is swept from the store. */
  _removeFile(_request: IncomingMessage, _file: object, done: (error: null) => void): void {
    done(null);
  }

  upload(body: unknown): Upload {
    const parts = new Map<string, string[]>(this.small);
    for (const [name, value] of Object.entries((body ?? {}) as Record<string, unknown>)) {
      // Sent twice, or with brackets in its name: never looked into, since "a[999999999]" makes a list of that length.
      const texts = typeof value === 'string' ? [value] : ['', ''];
      parts.set(name, [...(parts.get(name) ?? []), ...texts]);
    }
    return new Upload(this.files[0], parts, this.files.length);
  }

  private async keep(file: IncomingFile): Promise<void> {
    const heads: Buffer[] = [];
    const stored = await this.store.put(this.whole(file, (chunk) => heads.push(chunk)));
    const head = Buffer.concat(heads).subarray(0, HEAD_BYTES);
    this.files.push({ name: file.originalname, head, ...stored });
  }

  private async remember(file: IncomingFile): Promise<void> {
    const chunks: Buffer[] = [];
    let bytes = 0;
    for await (const chunk of this.whole(file, () => undefined)) {
      bytes += chunk.length;
      if (bytes <= PART_BYTES_MAX) chunks.push(chunk);
    }
    if (bytes > PART_BYTES_MAX) {
      this.cutOff = file.fieldname;
      throw new Error('PART_TOO_LARGE');
    }
    const name = file.fieldname;
    this.small.set(name, [...(this.small.get(name) ?? []), Buffer.concat(chunks).toString('utf8')]);
  }

  /** The file to its end; a throw where it was cut off at the limit, so that no part of one is kept. */
  private async *whole(
    { stream, fieldname }: IncomingFile,
    onHead: (chunk: Buffer) => void,
  ): AsyncGenerator<Buffer> {
    let seen = 0;
    for await (const chunk of stream as AsyncIterable<Buffer>) {
      if (seen < HEAD_BYTES) onHead(chunk);
      seen += chunk.length;
      yield chunk;
    }
    if (stream.truncated === true) {
      this.cutOff = fieldname;
      throw new Error('FILE_CUT_OFF');
    }
  }
}

function refusal(error: unknown, cutOff: string | undefined, bytesMax: number): unknown {
  const {
    name,
    code = '',
    field,
  } = error as { readonly name?: string; readonly code?: string; readonly field?: string };
  if (cutOff !== undefined) return tooLarge(partTooLarge(cutOff, bytesMax));
  if (name === 'MulterError' && code === 'LIMIT_FIELD_VALUE')
    return tooLarge(partTooLarge(field ?? '', bytesMax));
  if (name === 'MulterError' && code.startsWith('LIMIT_') && code !== 'LIMIT_UNEXPECTED_FILE')
    return tooLarge({
      pointer: '',
      found: 'more parts, or longer names of parts, than are read',
      allowed: `at most ${PARTS_MAX} parts, with names of at most ${PART_NAME_BYTES_MAX} bytes`,
      detail: 'Send one style a form, and no other parts than are known.',
    });
  if (name === 'StorageError' && code !== 'CONTENT_FAILED') return error;
  const detail = 'The form cannot be read: it breaks off, or its boundary or a header of a part is wrong.';
  return new ApiError('request-malformed', `${detail} Send it as multipart/form-data (RFC 7578).`, {
    headers: { Connection: 'close' },
  });
}

type Large = Pick<FieldProblem, 'pointer' | 'found' | 'allowed' | 'detail'>;

function formTooLarge(bytesMax: number, found: string): Large {
  return {
    pointer: '',
    found,
    allowed: `a form of at most ${bytesMax + AROUND_BYTES} bytes, its file of at most ${bytesMax}`,
    detail: 'Send one style a file, in one size or in a few.',
  };
}

function partTooLarge(part: string, bytesMax: number): Large {
  const isFile = part === 'file';
  const most = isFile ? bytesMax : PART_BYTES_MAX;
  return {
    pointer: pointerOf([part]),
    found: `more than ${most} bytes`,
    allowed: `at most ${most} bytes`,
    detail: isFile
      ? 'Send one style a file, in one size or in a few.'
      : 'The pattern goes into the part file; the other parts are short.',
  };
}

function tooLarge(
  { pointer, found, allowed, detail }: Large,
  headers: Readonly<Record<string, string>> = { Connection: 'close' },
): ApiError {
  const what = pointer === '' ? 'The form' : `The part ${pointer.slice(1)}`;
  return new ApiError('request-too-large', `${what} is too large: ${found}; allowed: ${allowed}. ${detail}`, {
    headers,
    errors: [{ in: 'body', pointer, code: 'TOO_LARGE', found, allowed, detail }],
  });
}
