import { readFile } from 'node:fs/promises';
import {
  JSON_BYTES_MAX,
  readJsonText,
  readMarkerRequest,
  readStartPlaces,
  textTooLarge,
  type Parsed,
} from '#contracts';
import {
  instancePointer,
  planMarker,
  readInstance,
  type MarkerProblem,
  type MarkerRequest,
  type StartPlace,
} from '#marker';
import { problemLine, oneLine } from './problem-line.js';
import { sizeOf } from './read-request-file.js';

export type MarkerFile =
  | { readonly ok: true; readonly form: 'instance' | 'request'; readonly request: MarkerRequest }
  | { readonly ok: false; readonly why: 'invalid' | 'infeasible'; readonly lines: readonly string[] };

export type StartFile =
  | { readonly ok: true; readonly places: readonly StartPlace[] }
  | { readonly ok: false; readonly lines: readonly string[] };

/** Read a strip-packing instance or a marker request, and see that it can be laid at all. */
export async function readMarkerFile(path: string): Promise<MarkerFile> {
  const json = await readJsonFile(path);
  if (!json.ok) return invalid(json.problems.map((problem) => problemLine(problem)));
  const isInstance = typeof json.value === 'object' && json.value !== null && 'stripHeight' in json.value;
  if (isInstance) {
    const read = readInstance(json.value);
    if (!read.ok) return invalid(read.problems.map((problem) => markerProblemLine(problem)));
    return planned('instance', read.request);
  }
  const read = readMarkerRequest(json.value);
  if (!read.ok) return invalid(read.problems.map((problem) => problemLine(problem)));
  return planned('request', read.value);
}

/** Read a layout that was written before, for a search of `request` to begin from. */
export async function readStartFile(path: string, { garments }: MarkerRequest): Promise<StartFile> {
  const json = await readJsonFile(path);
  const references = garments.map(({ reference }) => reference);
  const read = json.ok ? readStartPlaces(json.value, references) : json;
  if (read.ok) return { ok: true, places: read.value };
  return { ok: false, lines: read.problems.map((problem) => problemLine(problem)) };
}

async function readJsonFile(path: string): Promise<Parsed<unknown>> {
  const size = await sizeOf(path);
  if (size > JSON_BYTES_MAX) return { ok: false, problems: [textTooLarge(size)] };
  return readJsonText(await readFile(path, 'utf8'));
}

function planned(form: 'instance' | 'request', request: MarkerRequest): MarkerFile {
  const answer = planMarker(request);
  if (answer.ok) return { ok: true, form, request };
  const at = (pointer: string): string => (form === 'instance' ? instancePointer(pointer) : pointer);
  const lines = answer.problems.map((found) => markerProblemLine({ ...found, pointer: at(found.pointer) }));
  return { ok: false, why: answer.why, lines };
}

function invalid(lines: readonly string[]): MarkerFile {
  return { ok: false, why: 'invalid', lines };
}

function markerProblemLine({ pointer, code, found, allowed, action }: MarkerProblem): string {
  const where = pointer === '' ? '(whole text)' : pointer;
  return oneLine(`${where}: Found: ${found}. Allowed: ${allowed}. Do: ${action}. [${code}]`);
}
