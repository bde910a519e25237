import { spawn, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { afterEach, describe, expect, it, jest } from '@jest/globals';
import { readDraftRequest, readJsonText } from '#contracts';
import { produceDraft } from '#pipeline';
import { createSecret, signatureHeaders, webhookBody } from '#webhooks';
import { freePort } from './support/free-port.js';
import { describeWith, PYTHON } from './support/needs.js';

jest.setTimeout(60_000);

const EXAMPLES = fileURLToPath(new URL('../../examples/', import.meta.url));

let receiver: ChildProcess | undefined;

afterEach(() => void receiver?.kill('SIGKILL'));

const BODY = webhookBody({
  subject: 'draft',
  id: 'drf_01KAYR5T3M8Q2W4V6X7Y9Z0ABC',
  state: 'ready',
  at: new Date('2026-11-25T09:30:02.480Z'),
  reference: 'order 1042, hem 4 cm wider für A.',
  sequence: 5,
  findingCounts: { info: 1, warning: 0, stop: 0 },
  links: {},
});

/** The statuses it answers with: to a genuine message, and to each way of spoiling one. */
async function answersOf(program: string, script: string): Promise<Record<string, number>> {
  const port = await freePort();
  const [secret, older, foreign] = [createSecret(), createSecret(), createSecret()];
  receiver = spawn(program, [`${EXAMPLES}${script}`, String(port), secret], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  if (receiver.stdout !== null) await once(receiver.stdout, 'data');
  const post = async (secrets: readonly string[], sentAt: Date, body = BODY): Promise<number> => {
    const headers = signatureHeaders({ messageId: 'evt_1', sentAt, body: BODY, secrets });
    const url = `http://127.0.0.1:${port}/forkline`;
    const sent = { ...headers, 'content-type': 'application/json' };
    return (await fetch(url, { method: 'POST', headers: sent, body })).status;
  };
  const now = new Date();
  const long = new Date(now.getTime() - 10 * 60_000);
  const unsigned = await fetch(`http://127.0.0.1:${port}/`, { method: 'POST', body: BODY });
  return {
    genuine: await post([secret], now),
    'while secrets change': await post([older, secret], now),
    'foreign secret': await post([foreign], now),
    'changed body': await post([secret], now, BODY.replace('ready', 'ReadY')),
    old: await post([secret], long),
    unsigned: unsigned.status,
  };
}

describe('examples/fit-request.json', () => {
  it('is a block of a shop that is fitted, ready to be cut, with every length reached', () => {
    const json = readJsonText(readFileSync(`${EXAMPLES}fit-request.json`, 'utf8'));
    if (!json.ok) throw new Error('the example is not JSON');
    const read = readDraftRequest(json.value);
    if (!read.ok) throw new Error(JSON.stringify(read.problems));
    const outcome = produceDraft(read.request, { engine: 'test', requestHash: '0'.repeat(64) });
    expect(outcome.answer).toBe('ready');
    const draft = JSON.parse(outcome.files.find(({ name }) => name === 'draft.json')?.text ?? '{}') as {
      fitted: { measures: { measure: string; difference: number }[] };
    };
    const missed = draft.fitted.measures.filter(
      ({ measure, difference }) => !/^(front|back)Rise$/.test(measure) && Math.abs(difference) > 0.5,
    );
    expect(draft.fitted.measures).toHaveLength(12);
    expect(missed).toEqual([]);
  });
});

const RIGHT = {
  genuine: 204,
  'while secrets change': 204,
  'foreign secret': 400,
  'changed body': 400,
  old: 400,
  unsigned: 400,
};

describe('the example receiver', () => {
  it('of Node takes what we sign, and nothing else', async () => {
    expect(await answersOf(process.execPath, 'receive-webhooks.mjs')).toEqual(RIGHT);
  });
});

describeWith(PYTHON, 'the example receiver', (python) => {
  it('of Python takes what we sign, and nothing else', async () => {
    expect(await answersOf(python, 'receive_webhooks.py')).toEqual(RIGHT);
  });
});
