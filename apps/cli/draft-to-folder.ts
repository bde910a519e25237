import { draftRequestHash, draftRequestText, type DraftRequest } from '#contracts';
import type { Finding } from '#pattern';
import { produceDraft } from '#pipeline';
import { renderPng } from '#render';
import { engineVersion } from './engine-version.js';
import { EXIT, type ExitCode } from './exit-code.js';
import { manifestOf, textFile, type FolderFile } from './manifest.js';
import { findingLine } from './problem-line.js';
import { ProgressBar } from './progress-bar.js';
import type { Streams } from './verb.js';
import { writeFolder } from './write-folder.js';

export interface WrittenDraft {
  readonly names: readonly string[];
  readonly findings: readonly Finding[];
  readonly exitCode: ExitCode;
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
  const provenance = { engine: engineVersion(), requestHash: draftRequestHash(request) };
  bar.show(0);
  const { files, pictures, findings, answer } = produceDraft(request, provenance);
  bar.show(0.5);
  const written: FolderFile[] = [textFile('request.json', draftRequestText(request))];
  for (const { name, text } of files) written.push(textFile(name, text));
  for (const [i, { name, svg, widthPx }] of pictures.entries()) {
    written.push({ name, bytes: renderPng(svg, widthPx) });
    bar.show(0.5 + (0.4 * (i + 1)) / pictures.length);
  }
  written.push(manifestOf(provenance, written));
  await writeFolder(dir, written);
  bar.clear();
  return {
    names: written.map(({ name }) => name).sort(),
    findings,
    exitCode: answer === 'stopped' ? EXIT.no : EXIT.answered,
    textOf: (name) => files.find((file) => file.name === name)?.text,
  };
}

/** A line each, with what to do; the pipeline has put stops first. */
export function sayFindings(findings: readonly Finding[], streams: Streams): void {
  for (const finding of findings) streams.out(findingLine(finding));
}
