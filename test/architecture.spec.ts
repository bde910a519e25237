import { spawnSync } from 'node:child_process';
import {
  copyFileSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from '@jest/globals';

const ROOT = join(import.meta.dirname, '../..');
const planted = mkdtempSync(join(tmpdir(), 'forkline-planted-'));
afterAll(() => {
  rmSync(planted, { recursive: true, force: true });
});

function cruise(cwd: string): { status: number | null; output: string } {
  const args = ['--config', '.dependency-cruiser.mjs', '--output-type', 'err', 'apps', 'libs'];
  const { status, stdout } = spawnSync(join(ROOT, 'node_modules/.bin/depcruise'), args, {
    cwd,
    encoding: 'utf8',
  });
  return { status, output: stdout };
}

describe('the import table', () => {
  it('has a row for every lib', async () => {
    const { LIBS } = (await import(join(ROOT, 'architecture.mjs'))) as { LIBS: Record<string, unknown> };
    expect(Object.keys(LIBS).sort()).toEqual(readdirSync(join(ROOT, 'libs')).sort());
  });

  it('is kept by the tree as it is', () => {
    expect(cruise(ROOT).status).toBe(0);
  });

  it('catches a violation of each kind', () => {
    for (const file of ['package.json', 'architecture.mjs', '.dependency-cruiser.mjs', 'tsconfig.json']) {
      copyFileSync(join(ROOT, file), join(planted, file));
    }
    symlinkSync(join(ROOT, 'node_modules'), join(planted, 'node_modules'));
    mkdirSync(join(planted, 'dist/libs/pipeline'), { recursive: true });
    writeFileSync(join(planted, 'dist/libs/pipeline/index.js'), 'export const produceDraft = 1;\n');
    for (const folder of ['apps/cli', 'libs/geometry', 'libs/solver', 'libs/render']) {
      mkdirSync(join(planted, folder), { recursive: true });
    }
    writeFileSync(
      join(planted, 'libs/geometry/reads.ts'),
      "import { readFileSync } from 'node:fs';\nexport const read = readFileSync;\n",
    );
    writeFileSync(
      join(planted, 'libs/geometry/upward.ts'),
      "import { produceDraft } from '#pipeline';\nexport const up = produceDraft;\n",
    );
    writeFileSync(
      join(planted, 'libs/solver/kernel.ts'),
      "import Flatten from '@flatten-js/core';\nexport const kernel = Flatten;\n",
    );
    writeFileSync(
      join(planted, 'libs/solver/unlisted.ts'),
      "import fc from 'fast-check';\nexport const arbitrary = fc.nat();\n",
    );
    writeFileSync(
      join(planted, 'libs/render/lost.ts'),
      "import { nothing } from '#never-built';\nexport const lost = nothing;\n",
    );
    writeFileSync(join(planted, 'libs/render/secret.ts'), 'export const secret = 1;\n');
    writeFileSync(
      join(planted, 'apps/cli/door.ts'),
      "import { secret } from '../../libs/render/secret.js';\nexport const door = secret;\n",
    );
    const { status, output } = cruise(planted);
    expect(status).not.toBe(0);
    for (const rule of [
      'pure-libs-touch-nothing',
      'geometry-uses-only-its-own',
      'only-libs-geometry-names--flatten-js-core',
      'index-is-the-only-door',
      'packages-stand-in-the-table',
      'every-import-is-found',
    ]) {
      expect(output).toContain(rule);
    }
  });
});
