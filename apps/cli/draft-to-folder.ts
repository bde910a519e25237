import type { DraftRequest } from '#contracts';
import { engineVersion, produceDeliverables } from '#deliverables';
import type { Finding } from '#pattern';
import { EXIT, type ExitCode } from './exit-code.js';
import { findingLine } from './problem-line.js';
import { ProgressBar } from './progress-bar.js';
import type { Streams } from './verb.js';
import { writeFolder } from './write-folder.js';

export interface WrittenDraft {
  readonly names: readonly string[];
  readonly findings: readonly Finding[];
  readonly exitCode: ExitCode;
}

/** Draft a request and put its files, request.json and manifest.json into `dir`. */
export async function draftToFolder(
  request: DraftRequest,
  dir: string,
  streams: Streams,
): Promise<WrittenDraft> {
  const bar = new ProgressBar(streams.bar, 'draft');
  const { files, findings, answer } = await produceDeliverables(
    request,
    engineVersion(),
    ({ fraction }): void => bar.show(fraction),
  );
  await writeFolder(dir, files);
  bar.clear();
  return {
    names: files.map(({ name }) => name).sort(),
    findings,
    exitCode: answer === 'stopped' ? EXIT.no : EXIT.answered,
  };
}

/** A line each, with what to do; the pipeline has put stops first. */
export function sayFindings(findings: readonly Finding[], streams: Streams): void {
  for (const finding of findings) streams.out(findingLine(finding));
}
