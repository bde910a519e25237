import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from '@jest/globals';
import { SHAPELY } from '../../test/support/needs.js';
import { writeZip } from './index.js';

const ENTRIES = [
  { name: 'b.txt', bytes: new TextEncoder().encode('seam '.repeat(500)) },
  { name: 'a.pdf', bytes: new Uint8Array([37, 80, 68, 70]) },
];

describe('writeZip', () => {
  it('gives the same bytes whatever the order and whatever the zone', () => {
    const first = Buffer.from(writeZip(ENTRIES, '2026-04-01'));
    expect(first.equals(Buffer.from(writeZip([...ENTRIES].reverse(), '2026-04-01')))).toBe(true);
    const { stdout } = spawnSync(
      process.execPath,
      [
        '--input-type=module',
        '-e',
        `import { writeZip } from '${join(import.meta.dirname, 'index.js')}';
         const bytes = writeZip([{ name: 'a.pdf', bytes: new Uint8Array([37, 80, 68, 70]) }], '2026-03-29');
         process.stdout.write(Buffer.from(bytes).toString('hex'));`,
      ],
      { env: { ...process.env, TZ: 'Pacific/Apia' }, encoding: 'utf8' },
    );
    const here = writeZip([{ name: 'a.pdf', bytes: new Uint8Array([37, 80, 68, 70]) }], '2026-03-29');
    expect(stdout).toBe(Buffer.from(here).toString('hex'));
  });

  it.each([
    ['2026-04-01', '2026-04-01'],
    [undefined, '1980-01-01'],
  ])('dated %s holds the files in order of name, readable by another unzipper', (dated, day) => {
    // Python's own zipfile, which checks the CRC of each member.
    if (SHAPELY.found === undefined) return;
    const folder = mkdtempSync(join(tmpdir(), 'forkline-zip-'));
    const path = join(folder, 'bundle.zip');
    writeFileSync(path, writeZip(ENTRIES, dated));
    const script = `import sys, zipfile, json
z = zipfile.ZipFile(sys.argv[1]); assert z.testzip() is None
print(json.dumps([[i.filename, '%04d-%02d-%02d' % i.date_time[:3], i.file_size] for i in z.infolist()]))`;
    const { stdout } = spawnSync(SHAPELY.found, ['-c', script, path], { encoding: 'utf8' });
    rmSync(folder, { recursive: true });
    expect(JSON.parse(stdout)).toEqual([
      ['a.pdf', day, 4],
      ['b.txt', day, 2500],
    ]);
  });
});
