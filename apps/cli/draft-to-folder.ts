import { draftRequestHash, draftRequestText, type DraftRequest } from '#contracts';
import { writeZip } from '#interchange';
import type { Finding } from '#pattern';
import { produceDraft } from '#pipeline';
import { renderPdf, renderPng, type PdfOptions } from '#render';
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
  const { files, pictures, prints, bundled, findings, answer } = produceDraft(request, provenance);
  bar.show(0.5);
  const written: FolderFile[] = [textFile('request.json', draftRequestText(request))];
  for (const { name, text } of files) written.push(textFile(name, text));
  const steps = pictures.length + prints.length;
  const step = (): void => {
    bar.show(0.5 + (0.45 * (written.length - files.length - 1)) / steps);
  };
  for (const { name, svg, widthPx } of pictures) {
    written.push({ name, bytes: renderPng(svg, widthPx) });
    step();
  }
  for (const { name, sheets } of prints) {
    written.push({ name, bytes: await renderPdf(sheets, pdfOptions(request, provenance.engine)) });
    step();
  }
  if (bundled) {
    const whole = [...written, manifestOf(provenance, written)];
    written.push({ name: 'bundle.zip', bytes: writeZip(whole, request.dated) });
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

function pdfOptions({ reference, body, dated }: DraftRequest, engine: string): PdfOptions {
  const title = `Pattern ${reference ?? body.ref}`;
  return { title, creator: engine, ...(dated === undefined ? {} : { dated }) };
}

/** A line each, with what to do; the pipeline has put stops first. */
export function sayFindings(findings: readonly Finding[], streams: Streams): void {
  for (const finding of findings) streams.out(findingLine(finding));
}
