import { draftRequestHash, draftRequestText, type DraftRequest } from '#contracts';
import type { Finding } from '#pattern';
import { produceDraft } from '#pipeline';
import { renderPng } from '#render';
import { engineVersion } from './engine-version.js';
import { manifestOf, textFile, type FolderFile } from './manifest.js';
import { findingLine } from './problem-line.js';
import { ProgressBar } from './progress-bar.js';
import type { Streams } from './verb.js';
import { writeFolder } from './write-folder.js';

export interface WrittenDraft {
  readonly names: readonly string[];
  readonly findings: readonly Finding[];
  /** The text of a file that was written. */
  textOf(name: string): string | undefined;
}

/** Draft a request and put its files, request.json and manifest.json into `dir`. */
export async function draftToFolder(
  request: DraftRequest,
  dir: string,
  streams: Streams,
): Promise<WrittenDraft> {
  const bar = new ProgressBar(streams.bar, 'draft');
  const engine = engineVersion();
  bar.show(0);
  const { files, pictures, findings } = produceDraft(request, engine);
  bar.show(0.5);
  const written: FolderFile[] = [textFile('request.json', draftRequestText(request))];
  for (const { name, text } of files) written.push(textFile(name, text));
  for (const [i, { name, svg, widthPx }] of pictures.entries()) {
    written.push({ name, bytes: renderPng(svg, widthPx) });
    bar.show(0.5 + (0.4 * (i + 1)) / pictures.length);
  }
  written.push(manifestOf(engine, draftRequestHash(request), written));
  await writeFolder(dir, written);
  bar.clear();
  return {
    names: written.map(({ name }) => name).sort(),
    findings,
    textOf: (name) => files.find((file) => file.name === name)?.text,
  };
}

/** Stops first, then warnings, then the rest; each with what to do. */
export function sayFindings(findings: readonly Finding[], streams: Streams): void {
  const order = ['stop', 'warning', 'info'];
  const sorted = [...findings].sort((a, b) => order.indexOf(a.level) - order.indexOf(b.level));
  for (const finding of sorted) streams.out(findingLine(finding));
}

export function isStopped(findings: readonly Finding[]): boolean {
  return findings.some(({ level }) => level === 'stop');
}
