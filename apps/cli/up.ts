import { join } from 'node:path';
import type { Settings } from '#settings';
import { Cleanup } from './cleanup.js';
import { dataFolder } from './data-folder.js';
import { EXIT, type ExitCode } from './exit-code.js';
import { freePort } from './free-port.js';
import { windDownWith } from './interrupt.js';
import { settingsOrUsage } from './settings-or-usage.js';
import { startService, type Service } from './service.js';
import type { Call, Streams, Verb } from './verb.js';

export const UP: Verb = {
  name: 'up',
  summary: 'the API and the worker on this machine, until Ctrl-C',
  operands: [],
  options: {},
  description: [
    'Starts the API and the worker, with a PostgreSQL in .forkline unless DATABASE_URL names one, and prints their',
    'addresses and the key of a new shop. A port that is taken is replaced by a free one. The settings of the README',
    'hold here too. Ctrl-C ends everything; the data stays for the next time, and so do the keys of earlier starts:',
    'each sees what was made with it, and nothing else.',
  ],
  run,
};

async function run(_call: Call, streams: Streams): Promise<ExitCode> {
  const settings = settingsOrUsage();
  const cleanup = new Cleanup();
  let isEnding = false;
  windDownWith(async () => {
    isEnding = true;
    streams.err('Ending ...');
    await cleanup.run();
    streams.err('Ended. The data stays for the next time.');
  });
  streams.out('Starting the database, the API and the worker ...');
  try {
    const service = await startService(
      {
        dataFolder: await dataFolder(),
        databaseUrl: settings.databaseUrl,
        keep: 'durable',
        port: await freePort(settings.port),
        workerPort: await freePort(settings.workerPort),
        settings: settingsPassedOn(),
        shopName: 'Developer',
      },
      cleanup,
    );
    say(service, settings, streams);
    const { api, worker } = service;
    const gone = await Promise.race(
      [api, worker].map(async ({ name, logFile, ended }) => ({ name, logFile, how: await ended })),
    );
    // A child that ends because we end it is no news; the interrupt's own handler says the rest and exits.
    if (!isEnding)
      streams.err(
        `The ${gone.name} has ended by itself (${gone.how}). The end of its log is in ${gone.logFile}.`,
      );
    return EXIT.broken;
  } finally {
    await cleanup.run();
    windDownWith(undefined);
  }
}

/** What the developer has set, all of it checked above. */
function settingsPassedOn(): Record<string, string> {
  return Object.fromEntries(
    Object.entries(process.env).flatMap(([name, value]) =>
      value !== undefined && (name.startsWith('FORKLINE_') || name === 'REDIS_URL') ? [[name, value]] : [],
    ),
  );
}

function say(
  { apiUrl, workerUrl, apiKey, postgres, api, worker }: Service,
  settings: Settings,
  streams: Streams,
) {
  const database = postgres.directory ?? 'the server that DATABASE_URL names';
  const queue = settings.redisUrl === undefined ? 'the same database' : 'the Redis that REDIS_URL names';
  streams.out(`API       ${apiUrl}`);
  streams.out(`Reference ${apiUrl}/docs`);
  streams.out(`Worker    ${workerUrl}/metrics`);
  streams.out(`Key       ${apiKey}`);
  streams.out(`Database  ${database} (${postgres.state}); the queue is on ${queue}`);
  streams.out(`Logs      ${api.logFile} and ${worker.logFile}`);
  streams.out('');
  streams.out('Try:');
  const example = join('examples', 'draft-request.json');
  streams.out(
    `  curl -H "Authorization: Bearer ${apiKey}" -H "Content-Type: application/json" --data @${example} ${apiUrl}/v1/drafts`,
  );
  streams.out('Ctrl-C ends it.');
}
