import { join, resolve } from 'node:path';
import { draftToFolder, sayFindings } from './draft-to-folder.js';
import { EXIT, UsageError } from './exit-code.js';
import { problemLine } from './problem-line.js';
import { readRequestFile } from './read-request-file.js';
import type { Call, Streams, Verb } from './verb.js';
import { requireFolder } from './write-folder.js';

export const DRAFT: Verb = {
  name: 'draft',
  summary: 'draft one request and write its files into a folder',
  operands: ['REQUEST.json'],
  options: { out: { value: 'DIR', says: 'folder for the files; made when it is not there', needed: true } },
  description: [
    'Reads a draft request, drafts and alters its block, trues the pieces and writes into DIR what the request asks',
    'for (proof, pattern, sheet, tiles-a4, tiles-letter, tiles-a3, tiles-tabloid, dxf, plot, bundle) with request.json',
    '(the request as it was understood), draft.json, truing.json and manifest.json. Findings are printed one a line.',
    'What is wrong with the request is printed one a line as well, all of it at once, and then nothing is written.',
  ],
  run,
};

async function run({ operands: [requestPath], options }: Call, streams: Streams) {
  const dir = options['out'];
  await requireFolder(dir);
  if (resolve(requestPath) === resolve(join(dir, 'request.json')))
    throw new UsageError([
      `--out ${dir}: ${requestPath} lies there and would be overwritten. Choose another folder.`,
    ]);
  const read = await readRequestFile(requestPath);
  if (!read.ok) {
    for (const problem of read.problems) streams.err(problemLine(problem));
    return EXIT.usage;
  }
  const { names, findings, exitCode } = await draftToFolder(read.request, dir, streams);
  streams.out(`${names.length} files in ${dir}: ${names.join(', ')}.`);
  sayFindings(findings, streams);
  return exitCode;
}
