import { createHash } from 'node:crypto';
import { readdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { setTimeout } from 'node:timers/promises';
import { describe, expect, it, jest } from '@jest/globals';
import { forkline, inFolder, startForkline } from '../../test/support/command-line.js';

// Every call is a process of its own, and a busy machine takes seconds to start one.
jest.setTimeout(120_000);

const ROOT = new URL('../../../', import.meta.url);
const EXAMPLE = readFile(new URL('examples/draft-request.json', ROOT), 'utf8');
const BODIES = readFile(new URL('examples/bodies.csv', ROOT), 'utf8');
const FILES = [
  'draft.json',
  'manifest.json',
  'pattern.svg',
  'proof.png',
  'proof.svg',
  'request.json',
  'truing.json',
];

/** Measures of the example's body that no garment measure of it equals. */
const BODY_NUMBERS = /\b(740|1000|720|1040|765|585|410|835)( mm)?\b/;

describe('forkline draft', () => {
  it('writes what was asked for, each file as the manifest lists it', async () => {
    await inFolder(async (dir) => {
      const ended = await draft(dir, await EXAMPLE, 'out');
      expect(ended.code).toBe(0);
      expect((await readdir(join(dir, 'out'))).sort()).toEqual(FILES);
      const manifest = await manifestOf(join(dir, 'out'));
      expect(manifest.files.map(({ name }) => name)).toEqual(
        FILES.filter((name) => name !== 'manifest.json'),
      );
      for (const { name, bytes, sha256 } of manifest.files) {
        const content = await readFile(join(dir, 'out', name));
        expect([name, content.length, hashOf(content)]).toEqual([name, bytes, sha256]);
      }
    });
  });

  it('does its work though nobody reads what it prints', async () => {
    await inFolder(async (dir) => {
      await writeFile(join(dir, 'request.json'), await EXAMPLE);
      const unread = startForkline(['draft', 'request.json', '--out', 'out'], dir);
      unread.leave();
      expect(await unread.ended).toMatchObject({ code: 0, err: '' });
      expect((await readdir(join(dir, 'out'))).sort()).toEqual(FILES);
    });
  });

  it('writes only the outputs that were asked for', async () => {
    await inFolder(async (dir) => {
      await draft(dir, (await EXAMPLE).replace('["proof", "pattern"]', '[]'), 'out');
      expect((await readdir(join(dir, 'out'))).sort()).toEqual(FILES.filter((name) => /json/.test(name)));
    });
  });

  it('writes the same bytes again, and from the request it wrote', async () => {
    await inFolder(async (dir) => {
      await draft(dir, await EXAMPLE, 'first');
      await draft(dir, await EXAMPLE, 'second');
      await draft(dir, await readFile(join(dir, 'first/request.json'), 'utf8'), 'third');
      for (const name of FILES) {
        const first = hashOf(await readFile(join(dir, 'first', name)));
        expect([name, hashOf(await readFile(join(dir, 'second', name)))]).toEqual([name, first]);
        expect([name, hashOf(await readFile(join(dir, 'third', name)))]).toEqual([name, first]);
      }
    });
  });

  it('signs draft and manifest with the hash of the request it wrote', async () => {
    await inFolder(async (dir) => {
      await draft(dir, await EXAMPLE, 'out');
      const hash = hashOf(await readFile(join(dir, 'out/request.json')));
      expect((await manifestOf(join(dir, 'out'))).requestHash).toBe(hash);
      const file = JSON.parse(await readFile(join(dir, 'out/draft.json'), 'utf8')) as Record<string, unknown>;
      expect(file['requestHash']).toBe(hash);
    });
  });

  it('answers 1 to a crotch below the knee, says so and writes the files', async () => {
    await inFolder(async (dir) => {
      const ended = await draft(dir, (await EXAMPLE).replace('"drop": 0.5', '"drop": 1'), 'out');
      expect(ended.code).toBe(1);
      expect(ended.out).toMatch(/^stop DROP_BELOW_KNEE.*Do: /m);
      expect((await readdir(join(dir, 'out'))).sort()).toEqual(
        expect.arrayContaining(['draft.json', 'manifest.json']),
      );
    });
  });

  it('takes the pieces it wrote back as a block', async () => {
    await inFolder(async (dir) => {
      const request = JSON.parse(await EXAMPLE) as object;
      const plain = { ...request, alterations: [] };
      await draft(dir, JSON.stringify(plain), 'first');
      const { levels, pieces } = JSON.parse(await readFile(join(dir, 'first/draft.json'), 'utf8')) as Written;
      const block = { name: 'W-1042', levels, pieces };
      expect((await draft(dir, JSON.stringify({ ...plain, block }), 'second')).code).toBe(0);
      const second = JSON.parse(await readFile(join(dir, 'second/draft.json'), 'utf8')) as Written;
      expect(second.pieces.map(({ landmarks }) => landmarks)).toEqual(
        pieces.map(({ landmarks }) => landmarks),
      );
    });
  });

  it('says nothing of the body on the terminal', async () => {
    await inFolder(async (dir) => {
      const { out, err } = await draft(dir, await EXAMPLE, 'out');
      expect(`${out}${err}`).not.toMatch(BODY_NUMBERS);
    });
  });
});

describe('forkline population', () => {
  it('gives every row its line, in order, the same on any number of threads', async () => {
    await inFolder(async (dir) => {
      const one = await population(dir, await BODIES, '1');
      const three = await population(dir, await BODIES, '3');
      const refs = (await BODIES)
        .trim()
        .split('\n')
        .slice(1)
        .map((row) => row.split(',')[0]);
      expect(one.report.results.map(({ ref }) => ref)).toEqual(refs);
      expect({ ...one.report, seconds: 0 }).toEqual({ ...three.report, seconds: 0 });
      expect(one.pieces).toBe(three.pieces);
      expect(
        one.pieces
          .trim()
          .split('\n')
          .map((line) => (JSON.parse(line) as { ref: string }).ref),
      ).toEqual(refs);
      const { count, asMeasured, splitMoved, refused } = one.report;
      expect([count, asMeasured + splitMoved + refused]).toEqual([60, 60]);
      expect(refused).toBe(0);
    });
  });

  it('reports a wrong row with its line and drafts the others', async () => {
    await inFolder(async (dir) => {
      const [header, ...rows] = (await BODIES).trim().split('\n');
      const wrong = rows[1].replace(/female,\d+/, 'female,29');
      const { ended, report } = await population(
        dir,
        [header, rows[0], wrong, 'x,y', rows[2]].join('\r\n'),
        '1',
      );
      expect(ended.code).toBe(1);
      expect(ended.err).toMatch(/line 3: waistGirth: .*send "29 in"[^]*line 4: the row has 2 cells/);
      expect(report.results.map(({ state }) => state === 'refused')).toEqual([false, true, true, false]);
    });
  });

  it('leaves nothing behind when it is interrupted', async () => {
    await inFolder(async (dir) => {
      const [header, ...rows] = (await BODIES).trim().split('\n');
      await writeFile(join(dir, 'bodies.csv'), [header, ...new Array(200).fill(rows).flat()].join('\n'));
      const run = startForkline(['population', 'bodies.csv', '--out', 'r.json', '--pieces', 'p.ndjson'], dir);
      while ((await readdir(dir)).length < 3) await setTimeout(20);
      run.interrupt();
      expect((await run.ended).code).toBe(130);
      expect(await readdir(dir)).toEqual(['bodies.csv']);
    });
  });
});

interface Written {
  readonly levels: unknown;
  readonly pieces: readonly { readonly landmarks: unknown }[];
}

interface Report {
  readonly count: number;
  readonly asMeasured: number;
  readonly splitMoved: number;
  readonly refused: number;
  readonly results: readonly { readonly ref: string; readonly state: string }[];
}

async function draft(dir: string, request: string, out: string) {
  await writeFile(join(dir, 'order.json'), request);
  return forkline(['draft', 'order.json', '--out', out], dir);
}

async function population(dir: string, table: string, threads: string) {
  await writeFile(join(dir, 'bodies.csv'), table);
  const options = [
    '--pieces',
    'p.ndjson',
    '--alteration',
    'drop-crotch',
    '--inside-leg',
    'pressed',
    '--threads',
    threads,
  ];
  const ended = await forkline(['population', 'bodies.csv', '--out', 'r.json', ...options], dir);
  const report = JSON.parse(await readFile(join(dir, 'r.json'), 'utf8')) as Report;
  return { ended, report, pieces: await readFile(join(dir, 'p.ndjson'), 'utf8') };
}

async function manifestOf(dir: string) {
  return JSON.parse(await readFile(join(dir, 'manifest.json'), 'utf8')) as {
    readonly requestHash: string;
    readonly files: readonly { readonly name: string; readonly bytes: number; readonly sha256: string }[];
  };
}

function hashOf(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}
