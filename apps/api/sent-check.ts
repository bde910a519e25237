import {
  atMost,
  canonicalJson,
  isProfileName,
  JSON_PARTS,
  readCheckOrder,
  readJsonText,
  UPLOAD_PARTS,
  type CheckOrder,
  type Json,
  type Parsed,
  type Problem,
} from '#contracts';
import { notDxf } from '#interchange';
import { Upload, type UploadedFile } from './read-upload.js';

/** A check that was asked for, whichever way it came: the order, and its pattern in the store or still in hand. */
export interface SentCheck {
  readonly order: CheckOrder;
  readonly pattern: { readonly stored: UploadedFile } | { readonly bytes: Uint8Array };
}

/** What was sent, or all that is wrong with it, with the profile that it names: whether there is that one only a store knows. */
export type ReadSentCheck =
  | { readonly ok: true; readonly value: SentCheck }
  | { readonly ok: false; readonly problems: readonly Problem[]; readonly profile: string | undefined };

/** Read what was sent, with every problem of the parts and of the file. */
export function readSentCheck(sent: unknown): ReadSentCheck {
  const { json, read } = sent instanceof Upload ? ofUpload(sent) : { json: sent, read: ofJson(sent) };
  if (read.ok) return read;
  const profile = fieldOf(json, 'profile');
  const isName = typeof profile === 'string' && isProfileName(profile);
  return { ...read, profile: isName ? profile : undefined };
}

function fieldOf(json: unknown, name: string): unknown {
  const isThere = typeof json === 'object' && json !== null && Object.hasOwn(json, name);
  return isThere ? (json as Record<string, unknown>)[name] : undefined;
}

function ofJson(sent: unknown): Parsed<SentCheck> {
  const read = readCheckOrder(sent, 'json');
  const dxf = fieldOf(sent, 'dxf');
  const problem =
    typeof dxf === 'string' && dxf.trim() !== ''
      ? patternProblem(Buffer.from(dxf.slice(0, HEAD_BYTES)), '/dxf')
      : undefined;
  const problems = [...(problem === undefined ? [] : [problem]), ...(read.ok ? [] : read.problems)];
  if (!read.ok || problems.length > 0) return { ok: false, problems: atMost(problems) };
  const { pattern } = read.value;
  if (pattern === undefined) throw new Error('PATTERN_NOT_READ');
  const bytes = Buffer.from('dxf' in pattern ? pattern.dxf : canonicalJson(pattern.block));
  return { ok: true, value: { order: read.value, pattern: { bytes } } };
}

const HEAD_BYTES = 4096;

function ofUpload({ file, parts, fileCount }: Upload): {
  readonly json: unknown;
  readonly read: Parsed<SentCheck>;
} {
  const { json, problems } = partsJson(parts);
  const named = withName(json, file);
  const read = readCheckOrder(named, 'upload');
  const all = [
    ...fileProblems(file, fileCount, parts),
    ...problems,
    // What could not be read as JSON is said of it once.
    ...(read.ok
      ? []
      : read.problems.filter(({ pointer }) => !problems.some((one) => isWithin(pointer, one.pointer)))),
  ];
  if (!read.ok || file === undefined || all.length > 0)
    return { json, read: { ok: false, problems: atMost(all) } };
  return { json, read: { ok: true, value: { order: read.value, pattern: { stored: file } } } };
}

function isWithin(pointer: string, outer: string): boolean {
  const [first = ''] = outer.split('/').slice(1);
  return pointer === `/${first}` || pointer.startsWith(`/${first}/`);
}

/** The file's own name, where the sender gives the pattern none. */
function withName(json: Record<string, unknown>, file: UploadedFile | undefined): unknown {
  if (json['name'] !== undefined || file === undefined) return json;
  const base = file.name.split(/[\\/]/).at(-1) ?? '';
  const name = base
    .replaceAll(/[\p{Cc}\p{Cs}\u2028\u2029\uFFFE\uFFFF]/gu, '')
    .trim()
    .slice(0, NAME_LENGTH_MAX);
  return name === '' ? json : { ...json, name };
}

const NAME_LENGTH_MAX = 100;

function partsJson(parts: ReadonlyMap<string, readonly string[]>): {
  readonly json: Record<string, unknown>;
  readonly problems: readonly Problem[];
} {
  const json: Record<string, unknown> = {};
  const problems: Problem[] = [];
  for (const [name, texts] of parts) {
    if (name === 'file') continue;
    const [text = ''] = texts;
    if (texts.length > 1 && UPLOAD_PARTS.includes(name)) problems.push(twice(name));
    // A form sends what was left empty.
    else if (text.trim() === '' && UPLOAD_PARTS.includes(name)) continue;
    else if (JSON_PARTS.has(name)) {
      const read = readJsonText(text);
      if (read.ok) json[name] = read.value;
      else
        problems.push(
          ...read.problems.map((problem) => ({
            ...problem,
            pointer: `/${name}${problem.pointer}`,
            action: `${problem.action} The part ${name} is JSON: a list is ["A"], text stands in quotes.`,
          })),
        );
    } else {
      // Of a part that nobody knows its name is what is wrong, a whole pattern sent under it or not.
      const value = UPLOAD_PARTS.includes(name) ? text : text.slice(0, UNKNOWN_SHOWN);
      Object.defineProperty(json, name, { value, enumerable: true, configurable: true });
    }
  }
  return { json, problems };
}

const UNKNOWN_SHOWN = 100;

function twice(name: string): Problem {
  return {
    pointer: `/${name}`,
    code: 'DUPLICATE_FIELD',
    found: 'several parts',
    allowed: { form: 'each part once' },
    message: `The part ${name} was sent more than once, or with brackets behind its name.`,
    action: `Send it once, as ${name}; a list is JSON in one part.`,
  };
}

function fileProblems(
  file: UploadedFile | undefined,
  count: number,
  parts: ReadonlyMap<string, readonly string[]>,
): Problem[] {
  if (file === undefined) {
    const found = parts.has('file') ? 'text without a file name' : 'nothing';
    return [
      {
        pointer: '/file',
        code: 'MISSING',
        found,
        allowed: { form: 'a DXF file' },
        message: 'The part file is missing or is no file.',
        action: 'Add the DXF as a file, such as -F file=@pattern.dxf with curl.',
      },
    ];
  }
  const problem = patternProblem(file.head, '/file');
  return [...(count > 1 ? [twice('file')] : []), ...(problem === undefined ? [] : [problem])];
}

/** What is plainly no text of a drawing is refused at once; what is one and cannot be read is the check's to say. */
function patternProblem(head: Buffer, pointer: string): Problem | undefined {
  const what = notDxf(head);
  if (what === undefined) return undefined;
  const advice = what === 'JSON' ? ' A block is sent as JSON, in the field block of a JSON request.' : '';
  return {
    pointer,
    code: 'NOT_ALLOWED',
    found: what,
    allowed: { form: 'the text of a DXF file' },
    message: `The pattern is ${what}, not a DXF as text.`,
    action: `Export it as ASCII DXF (R12 is read by all), not packed.${advice}`,
  };
}

/** What was asked, for whoever sends it again under the same key: the pattern by its hash, however it came. */
export function sentOnce({ order }: SentCheck, sha256: string): Json {
  const { pattern: _, ...rest } = order;
  return JSON.parse(JSON.stringify({ ...rest, pattern: sha256 })) as Json;
}
