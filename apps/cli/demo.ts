import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { draftToFolder, sayFindings } from './draft-to-folder.js';
import { examplePath } from './example-path.js';
import { EXIT } from './exit-code.js';
import { figureLines } from './figure-lines.js';
import { problemLine } from './problem-line.js';
import { readRequestFile } from './read-request-file.js';
import type { Call, Streams, Verb } from './verb.js';
import { requireFolder } from './write-folder.js';

const DEFAULT_DIR = 'demo-out';

export const DEMO: Verb = {
  name: 'demo',
  summary: 'draft a drop-crotch trouser for an invented customer, from the body to the proof',
  operands: [],
  options: { out: { value: 'DIR', says: `folder for the files, ${DEFAULT_DIR} when left out` } },
  description: [
    'Drafts a trouser block from the measures of an invented customer, lowers its crotch, trues the pieces and writes',
    'the proof and the pattern into DIR. The request is examples/draft-request.json; change a copy of it and use the',
    'verb draft.',
  ],
  run,
};

async function run({ options }: Call, streams: Streams) {
  const dir = options['out'] ?? DEFAULT_DIR;
  await requireFolder(dir);
  const read = await readRequestFile(examplePath('draft-request.json'));
  if (!read.ok) {
    for (const problem of read.problems) streams.err(problemLine(problem));
    return EXIT.usage;
  }
  const { names, findings, exitCode } = await draftToFolder(read.request, dir, streams);
  streams.out(
    `A trouser block was drafted for ${read.request.reference}, an invented customer, and its crotch lowered.`,
  );
  for (const sentence of figureLines(await textOf(dir, 'draft.json'), await textOf(dir, 'truing.json')))
    streams.out(sentence);
  sayFindings(findings, streams);
  streams.out(
    `Look at ${dir}/proof.svg first: before and after, what moved, and what there is to say about it.`,
  );
  streams.out(`The pieces are in ${dir}/pattern.svg, every number in draft.json and truing.json.`);
  streams.out(`${names.length} files in ${dir}: ${names.join(', ')}.`);
  return exitCode;
}

function textOf(dir: string, name: string): Promise<string> {
  return readFile(join(dir, name), 'utf8');
}
