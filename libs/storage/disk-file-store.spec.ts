import { afterEach, beforeEach, describe, expect, it } from '@jest/globals';
import { execFileSync, spawn } from 'node:child_process';
import { mkdtemp, readdir, readFile, rm, utimes, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { openDiskFileStore } from '#storage';

const NOW_MS = Date.parse('2026-03-02T09:00:00Z');
const DAY_MS = 86_400_000;

let directory: string;

beforeEach(async () => {
  directory = await mkdtemp(join(tmpdir(), 'forkline-disk-'));
});

afterEach(() => rm(directory, { recursive: true }));

const open = (nowMs = NOW_MS): ReturnType<typeof openDiskFileStore> =>
  openDiskFileStore({ directory, nowMs });

async function storedPaths(): Promise<string[]> {
  const names = await readdir(directory, { recursive: true, withFileTypes: true });
  return names
    .filter((entry) => entry.isFile() && entry.parentPath !== join(directory, 'incoming'))
    .map((entry) => join(entry.parentPath, entry.name));
}

describe('the disk file store', () => {
  it('lays files by the first two digits of their hash and leaves nothing in incoming', async () => {
    const store = await open();
    await store.put(Buffer.from('abc'));
    const path = join(directory, 'ba/7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad');
    expect(await readFile(path, 'utf8')).toBe('abc');
    expect(await readdir(join(directory, 'incoming'))).toEqual([]);
  });

  it('holds only whole files wherever its writer is killed, and goes on after it', async () => {
    const script = fileURLToPath(new URL('../../test/support/put-for-ever.js', import.meta.url));
    let leftHalf = 0;
    for (let kill = 0; kill < 12; kill++) {
      const writer = spawn(process.execPath, [script, directory], { stdio: ['ignore', 'pipe', 'inherit'] });
      const ended = new Promise((resolve) => writer.once('close', resolve));
      await new Promise((resolve) => writer.stdout.once('data', resolve));
      await sleep(kill * 7);
      writer.kill('SIGKILL');
      await ended;
      leftHalf += (await readdir(join(directory, 'incoming'))).length;
    }
    const paths = await storedPaths();
    expect(paths.length).toBeGreaterThan(0);
    const sums = execFileSync('sha256sum', paths, { encoding: 'utf8' }).trim().split('\n');
    for (const line of sums) {
      const [sum, path = ''] = line.split(/ +/);
      expect(path.slice(directory.length).replaceAll('/', '')).toBe(sum);
    }
    expect(leftHalf).toBeGreaterThan(0); // or no kill fell into a write, and this proved nothing
    await open(Date.now() + 2 * DAY_MS);
    expect(await readdir(join(directory, 'incoming'))).toEqual([]);
  }, 60_000);

  it('leaves alone what another writer may still be writing', async () => {
    await open();
    const path = join(directory, 'incoming/1.other');
    await writeFile(path, 'half');
    await utimes(path, NOW_MS / 1_000, NOW_MS / 1_000);
    await open(NOW_MS + DAY_MS - 1_000);
    expect(await readdir(join(directory, 'incoming'))).toEqual(['1.other']);
    await open(NOW_MS + DAY_MS + 1_000);
    expect(await readdir(join(directory, 'incoming'))).toEqual([]);
  });

  it('puts a damaged file right when it is put again', async () => {
    const store = await open();
    const { sha256 } = await store.put(Buffer.from('abc'));
    const [path = ''] = await storedPaths();
    await writeFile(path, 'ab');
    await store.put(Buffer.from('abc'));
    const file = await store.open(sha256);
    expect(file?.bytes).toBe(3);
    file?.stream.destroy();
  });

  it('says that the disk said no, and that it may pass', async () => {
    const store = await open();
    await rm(join(directory, 'incoming'), { recursive: true });
    await writeFile(join(directory, 'incoming'), 'in the way');
    await expect(store.put(Buffer.from('abc'))).rejects.toMatchObject({
      code: 'UNAVAILABLE',
      retryable: true,
      details: { reason: 'ENOTDIR' },
    });
  });
});
