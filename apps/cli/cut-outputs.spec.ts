import { createHash } from 'node:crypto';
import { readdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { describe, expect, it, jest } from '@jest/globals';
import { strFromU8, unzipSync } from 'fflate';
import { forkline, inFolder } from '../../test/support/command-line.js';
import { WORKED_BODY } from '../../test/support/worked-body.js';

// Every call is a process of its own, and a busy machine takes seconds to start one.
jest.setTimeout(120_000);

const { ref, sex, measures } = WORKED_BODY;
const REQUEST = {
  body: { ref, sex, measures },
  block: 'from-body',
  outputs: ['sheet', 'tiles-a4', 'dxf', 'plot', 'bundle'],
  dated: '2026-04-01',
};

interface Manifest {
  readonly files: readonly { readonly name: string; readonly sha256: string }[];
}

describe('forkline draft with outputs of cut pieces', () => {
  it('writes them, and one zip with the same files and a manifest of its own; the same bytes each time', async () => {
    await inFolder(async (dir) => {
      await writeFile(join(dir, 'request.json'), JSON.stringify(REQUEST));
      for (const out of ['first', 'second'])
        expect((await forkline(['draft', 'request.json', '--out', out], dir)).code).toBe(0);
      const names = (await readdir(join(dir, 'first'))).sort();
      expect(names).toEqual([
        'bundle.zip',
        'draft.json',
        'manifest.json',
        'pattern.dxf',
        'plot.plt',
        'request.json',
        'sheet.pdf',
        'tiles-a4.pdf',
        'truing.json',
      ]);
      for (const name of names) {
        const [first, second] = await Promise.all(
          ['first', 'second'].map((out) => readFile(join(dir, out, name))),
        );
        expect([name, first.equals(second)]).toEqual([name, true]);
      }
      const zip = unzipSync(await readFile(join(dir, 'first/bundle.zip')));
      expect(Object.keys(zip)).toEqual(names.filter((name) => name !== 'bundle.zip'));
      const { files } = JSON.parse(strFromU8(zip['manifest.json'])) as Manifest;
      expect(files.map(({ name }) => name)).not.toContain('bundle.zip');
      for (const { name, sha256 } of files)
        expect([name, createHash('sha256').update(zip[name]).digest('hex')]).toEqual([name, sha256]);
    });
  });
});
