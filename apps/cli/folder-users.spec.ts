import { mkdtemp, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from '@jest/globals';
import { useFolder } from './folder-users.js';

let folder: string;

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'forkline-users-'));
});

afterEach(() => rm(folder, { recursive: true, force: true }));

describe('whoever uses a data folder', () => {
  it('is the last one when the others were killed, though their numbers are in use again', async () => {
    const mine = await useFolder(folder);
    // The number of this test's parent, which runs, with the start of a process that does not.
    await writeFile(join(folder, 'users', String(process.ppid)), 'another start');
    expect(await mine.leave()).toBe('last');
    expect(await readdir(join(folder, 'users'))).toEqual([]);
  });

  it('is not the last one while another one runs', async () => {
    const mine = await useFolder(folder);
    await writeFile(join(folder, 'users', String(process.ppid)), '');
    expect(await mine.leave()).toBe('others');
    expect(await readdir(join(folder, 'users'))).toEqual([String(process.ppid)]);
  });
});
