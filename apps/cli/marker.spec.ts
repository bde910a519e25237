import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Worker } from 'node:worker_threads';
import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { certify, readInstance, type Marker, type MarkerRequest } from '#marker';
import { forkline } from '../../test/support/command-line.js';
import { eventually } from '../../test/support/eventually.js';
import { MarkerThreads } from './marker-threads.js';

const TROUSERS = 'test/fixtures/markers/trousers.json';
let dir: string;
let request: MarkerRequest;

beforeAll(async () => {
  dir = await mkdtemp(join(tmpdir(), 'forkline-marker-'));
  const read = readInstance(JSON.parse(await readFile(TROUSERS, 'utf8')) as unknown);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  ({ request } = read);
});
afterAll(() => rm(dir, { recursive: true, force: true }));

describe('forkline marker', () => {
  it('writes every file of a marker, the same for the same work', async () => {
    const words = (n: number): string[] => [
      'marker',
      TROUSERS,
      ...['--work', '300', '--seed', '3', '--threads', '2'],
      ...['--out', join(dir, `layout-${n}.json`), '--files', join(dir, `files-${n}`)],
    ];
    for (const n of [1, 2]) expect(await forkline(words(n), '.')).toMatchObject({ code: 0, err: '' });
    for (const name of [
      'marker.json',
      'marker.svg',
      'marker.pdf',
      'marker-sheet.pdf',
      'marker.dxf',
      'marker.plt',
      'manifest.json',
    ]) {
      const [first, second] = await Promise.all([1, 2].map((n) => readFile(join(dir, `files-${n}`, name))));
      expect(first.equals(second)).toBe(true);
    }
  });

  it('begins from a layout written before, whole or cut down, and is never worse than a whole one', async () => {
    const path = (name: string): string => join(dir, name);
    const lay = (name: string, ...more: string[]) =>
      forkline(['marker', TROUSERS, '--work', '200', '--threads', '1', '--out', path(name), ...more], '.');
    const lengthOf = async (name: string) =>
      (JSON.parse(await readFile(path(name), 'utf8')) as { length: number }).length;
    expect(await lay('early.json', '--seed', '1')).toMatchObject({ code: 0 });
    expect(await lay('later.json', '--seed', '2', '--from', path('early.json'))).toMatchObject({ code: 0 });
    expect(await lengthOf('later.json')).toBeLessThanOrEqual(await lengthOf('early.json'));
    const { placements } = JSON.parse(await readFile(path('early.json'), 'utf8')) as { placements: object[] };
    await writeFile(path('fewer.json'), JSON.stringify({ placements: placements.slice(0, 40) }));
    expect(await lay('added.json', '--from', path('fewer.json'))).toMatchObject({ code: 0 });
    await writeFile(path('bad.json'), JSON.stringify({ placements: [{ piece: 0, turn: 'x', mirrored: 1 }] }));
    const ended = await lay('none.json', '--from', path('bad.json'));
    expect(ended.code).toBe(2);
    for (const field of ['turn', 'mirrored', '/placements/0/x']) expect(ended.err).toContain(field);
  });

  it.each([
    ['a piece wider than the cloth', { stripHeight: 1, pieces: [square(1)] }, 1, /PIECE_TOO_WIDE/],
    ['cloth of no width', { stripHeight: 0, pieces: [square(1)] }, 2, /CLOTH_WIDTH/],
    ['five thousand pieces', { stripHeight: 100, pieces: [square(5_000)] }, 2, /TOO_MANY_PIECES/],
    ['a count that is none', { stripHeight: 100, pieces: [square(1e300)] }, 2, /PIECE_COUNT/],
    ['no piece', { stripHeight: 100, pieces: [] }, 2, /NOTHING_TO_LAY/],
  ])('answers %s at once, in words', async (name, instance, code, says) => {
    const path = join(dir, `${name.replaceAll(' ', '-')}.json`);
    await writeFile(path, JSON.stringify({ set: 'x', source: 'x', ...instance }));
    const out = join(dir, 'none.json');
    const ended = await forkline(['marker', path, '--seconds', '600', '--out', out], '.');
    expect(ended.code).toBe(code);
    expect(ended.err).toMatch(says);
    await expect(readFile(out)).rejects.toMatchObject({ code: 'ENOENT' });
  });
});

describe('MarkerThreads', () => {
  it('has a certified marker even when stopped before a thread has come up', async () => {
    const budget = { seconds: 600 };
    const search = new MarkerThreads({ request, seed: 1, threads: 2, budget, onProgress: () => undefined });
    const laying = search.lay();
    search.stop();
    const { marker } = await laying;
    expect(
      certify(request, marker.figures.length, marker.placements, { repeatTolerance: 0, faultsMax: 5 }),
    ).toEqual([]);
  });

  it('answers with the best certified so far when it is stopped in the middle', async () => {
    const budget = { seconds: 600 };
    const search = new MarkerThreads({ request, seed: 1, threads: 2, budget, onProgress: () => undefined });
    const { latest } = search as unknown as { latest: Map<number, Marker> };
    const laying = search.lay();
    // The first of each is a layout by boxes: wait for one that was found.
    const [first] = await eventually(
      () => [...latest.values()],
      (markers) => markers.some(({ work }) => work > 0),
      60_000,
    );
    search.stop();
    const { marker } = await laying;
    expect(marker.figures.length).toBeLessThanOrEqual(first.figures.length);
    expect(
      certify(request, marker.figures.length, marker.placements, { repeatTolerance: 0, faultsMax: 5 }),
    ).toEqual([]);
  });

  it('keeps what the others have when a thread is killed, and says so', async () => {
    const search = new MarkerThreads({
      request,
      seed: 1,
      threads: 2,
      budget: { work: 2_000 },
      onProgress: () => undefined,
    });
    const { workers, latest } = search as unknown as { workers: Worker[]; latest: Map<number, unknown> };
    const laying = search.lay();
    await eventually(
      () => latest.has(0),
      (has) => has,
      30_000,
    );
    await workers[0].terminate();
    const { marker, broken } = await laying;
    expect(broken.map(({ chain }) => chain)).toEqual([0]);
    expect(
      certify(request, marker.figures.length, marker.placements, { repeatTolerance: 0, faultsMax: 5 }),
    ).toEqual([]);
  });
});

function square(count: number): object {
  return { id: 'a', count, turns: [0], outline: [[0, 0], [10, 0], [10, 10], [0, 10]] }; // prettier-ignore
}
