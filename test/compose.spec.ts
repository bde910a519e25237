import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from '@jest/globals';
import { readSettings } from '#settings';
import { describeWith, type Need } from './support/needs.js';

const ROOT = join(import.meta.dirname, '../..');

const COMPOSE: Need<string> = {
  name: 'docker-compose',
  found: ['docker-compose'].find((command) => spawnSync(command, ['--version']).status === 0),
};

/** Without the environment of whoever tests: the file has to stand on its own. */
const ENVIRONMENT = { PATH: process.env['PATH'] };

describeWith(COMPOSE, 'docker-compose.yml', (command) => {
  it('is valid', () => {
    const { status, stderr } = spawnSync(command, ['config', '-q'], {
      cwd: ROOT,
      encoding: 'utf8',
      env: ENVIRONMENT,
    });
    expect(stderr).toBe('');
    expect(status).toBe(0);
  });

  it.each(['api', 'worker'])('gives the %s settings that it takes, and a program that is built', (name) => {
    const { stdout } = spawnSync(command, ['config'], { cwd: ROOT, encoding: 'utf8', env: ENVIRONMENT });
    const service = new RegExp(`^  ${name}:\\n((?: {4}.*\\n)+)`, 'm').exec(stdout)?.[1] ?? '';
    const [, block = ''] = /^ {4}environment:\n((?: {6}.*\n)+)/m.exec(service) ?? [];
    const environment = Object.fromEntries(
      block
        .trimEnd()
        .split('\n')
        .map((line) => {
          const [variable, ...rest] = line.trim().split(': ');
          return [variable, rest.join(': ')];
        }),
    );
    expect(readSettings(environment)).toMatchObject({
      dataFolder: '/data',
      publicUrl: 'http://localhost:8080',
    });
    expect(service).toContain(`- dist/apps/${name}/main.js`);
    expect(readFileSync(join(ROOT, `dist/apps/${name}/main.js`), 'utf8')).not.toBe('');
  });
});
