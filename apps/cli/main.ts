import { CHECK } from './check.js';
import { DEMO } from './demo.js';
import { DRAFT } from './draft.js';
import { EXIT, UsageError, type ExitCode } from './exit-code.js';
import { ApiAnswerError } from './api-client.js';
import { ServiceError } from './child-service.js';
import { helpOf, helpOfAll } from './help.js';
import { MARKER } from './marker.js';
import { POPULATION } from './population.js';
import { readArguments } from './read-arguments.js';
import type { Streams, Verb } from './verb.js';
import { UP } from './up.js';
import { endOnInterrupt } from './interrupt.js';
import { KEY } from './key.js';
import { nearestName } from '#contracts';
import { EmbeddedPostgresError } from '#embedded-postgres';

const VERBS: readonly Verb[] = [DEMO, UP, KEY, DRAFT, POPULATION, CHECK, MARKER];

async function main(words: readonly string[], streams: Streams): Promise<ExitCode> {
  const [name, ...rest] = words;
  if (name === '--help' || name === '-h') {
    streams.out(helpOfAll(VERBS));
    return EXIT.answered;
  }
  if (name === undefined) throw new UsageError(['A verb is missing.', '', helpOfAll(VERBS)]);
  const verb = VERBS.find((candidate) => candidate.name === name);
  if (verb === undefined) {
    const names = VERBS.map((candidate) => candidate.name);
    const near = nearestName(name, names);
    const hint = near === undefined ? `There are ${names.join(', ')}.` : `Did you mean ${near}?`;
    throw new UsageError([`"${name}" is not a verb. ${hint}`, 'Try: forkline --help']);
  }
  const call = readArguments(verb, rest);
  if (call !== 'help') return verb.run(call, streams);
  streams.out(helpOf(verb));
  return EXIT.answered;
}

function toExitCode(error: unknown, streams: Streams): ExitCode {
  if (error instanceof UsageError) {
    for (const line of error.lines) streams.err(line);
    return EXIT.usage;
  }
  const lines = isWorded(error) ? error.message.split('\n') : failureLines(error);
  for (const line of lines) streams.err(line);
  return EXIT.broken;
}

/** These say themselves what to do, and hold nothing of a request. */
function isWorded(error: unknown): error is Error {
  return (
    error instanceof ServiceError ||
    error instanceof ApiAnswerError ||
    error instanceof EmbeddedPostgresError ||
    // By name: the database's client is loaded only by the verbs that need it.
    (error instanceof Error && error.name === 'PersistenceError')
  );
}

/**
 * A failure without its own message, which may hold what was being worked on, and that is a body.
 *
 * A failed file operation says which and why; a fault of the program says where.
 */
function failureLines(error: unknown): string[] {
  const { code, syscall, path, stack, name } = error as NodeJS.ErrnoException;
  if (code !== undefined && syscall !== undefined)
    return [`Could not finish: ${code} at ${syscall} ${path ?? ''}`.trimEnd()];
  const frames = (stack ?? '').split('\n').filter((line) => line.startsWith('    at '));
  return [`The program failed, and the input is not to blame: ${name} ${code ?? ''}`.trimEnd(), ...frames];
}

const streams: Streams = {
  out: (line) => process.stdout.write(`${line}\n`),
  err: (line) => process.stderr.write(`${line}\n`),
  bar: process.stderr.isTTY ? process.stderr : undefined,
};

// Whoever reads along may stop, as `| head` does: the rest is written to nobody, and the work is done all the same.
for (const stream of [process.stdout, process.stderr])
  stream.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code !== 'EPIPE') throw error;
  });

endOnInterrupt();

process.exitCode = await main(process.argv.slice(2), streams).catch((error: unknown) =>
  toExitCode(error, streams),
);
