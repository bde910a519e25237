import { readFile } from 'node:fs/promises';
import { JSON_BYTES_MAX, readJsonText, readMarkerRequest, textTooLarge } from '#contracts';
import { instancePointer, planMarker, readInstance, type MarkerProblem, type MarkerRequest } from '#marker';
import { problemLine, oneLine } from './problem-line.js';
import { sizeOf } from './read-request-file.js';

export type MarkerFile =
  | { readonly ok: true; readonly form: 'instance' | 'request'; readonly request: MarkerRequest }
  | { readonly ok: false; readonly why: 'invalid' | 'infeasible'; readonly lines: readonly string[] };

/** Read a strip-packing instance or a marker request, and see that it can be laid at all. */
export async function readMarkerFile(path: string): Promise<MarkerFile> {
  const size = await sizeOf(path);
  if (size > JSON_BYTES_MAX) return invalid([problemLine(textTooLarge(size))]);
  const json = readJsonText(await readFile(path, 'utf8'));
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
