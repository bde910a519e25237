import { readFile } from 'node:fs/promises';
import { describe, expect, it } from '@jest/globals';
import {
  SETTINGS,
  SettingsError,
  readSettings,
  settingsMarkdown,
  type Setting,
  type SettingProblem,
} from '#settings';

const ALL = Object.values(SETTINGS) as Setting[];

function problemsOf(environment: Record<string, string>): readonly SettingProblem[] {
  try {
    readSettings(environment);
    return [];
  } catch (error) {
    if (error instanceof SettingsError) return error.problems;
    throw error;
  }
}

describe('the settings', () => {
  it('need nothing to be set', () => {
    expect(readSettings({})).toMatchObject({
      host: '127.0.0.1',
      port: 8080,
      allowedReceivers: [],
      logLevel: 'info',
    });
    expect(readSettings({})).not.toHaveProperty(['databaseUrl']);
    expect(readSettings({})).not.toHaveProperty(['redisUrl']);
  });

  it('are read from the environment, and an empty variable is one left out', () => {
    const settings = readSettings({
      FORKLINE_PORT: '0',
      REDIS_URL: 'rediss://cache.example.com:6380/1',
      FORKLINE_WEBHOOK_ALLOWED_RECEIVERS: ' 127.0.0.1:4555, [::1]:80 ,',
      FORKLINE_LOG_LEVEL: '',
      HOME: '/root',
    });
    expect(settings).toMatchObject({
      port: 0,
      redisUrl: 'rediss://cache.example.com:6380/1',
      allowedReceivers: ['127.0.0.1:4555', '[::1]:80'],
      logLevel: 'info',
    });
  });

  it('list every mistake at once, each with its name, what was found and what is allowed', () => {
    const problems = problemsOf({
      FORKLINE_PORT: '80a',
      FORKLINE_COMPUTE_THREADS: '0',
      FORKLINE_LOG_LEVEL: 'loud',
      FORKLINE_PUBLIC_URL: 'ftp://files.example.com',
      FORKLINE_WEBHOOK_ALLOWED_RECEIVERS: 'http://127.0.0.1:4555',
      REDIS_URL: 'http://cache.example.com',
      FORKLINE_PROT: '1',
    });
    expect(problems.map(({ name }) => name).sort()).toEqual([
      'FORKLINE_COMPUTE_THREADS',
      'FORKLINE_LOG_LEVEL',
      'FORKLINE_PORT',
      'FORKLINE_PROT',
      'FORKLINE_PUBLIC_URL',
      'FORKLINE_WEBHOOK_ALLOWED_RECEIVERS',
      'REDIS_URL',
    ]);
    expect(problems.find(({ name }) => name === 'FORKLINE_PORT')).toEqual({
      name: 'FORKLINE_PORT',
      found: '"80a"',
      allowed: 'whole number, 0 to 65535',
      action: 'Change it, or leave it out for the default.',
    });
    expect(new SettingsError(problems).message.split('\n')).toHaveLength(8);
  });

  it('never show a secret, not even a wrong one', () => {
    const environment = { DATABASE_URL: 'mysql://root:hush@db', REDIS_URL: 'hush' };
    const problems = problemsOf(environment);
    expect(problems).toHaveLength(2);
    expect(new SettingsError(problems).message).not.toContain('hush');
  });

  it('refuse numbers that are not plain whole ones', () => {
    for (const text of ['-1', '1.5', '1e3', '0x10', ' 8080', '65536', '9'.repeat(30)]) {
      expect(problemsOf({ FORKLINE_PORT: text })).toHaveLength(1);
    }
  });

  it('have defaults that are allowed, names of one form and no name twice', () => {
    for (const { name, schema, default: preset } of ALL) {
      expect(name).toMatch(/^(FORKLINE_[A-Z_]+|DATABASE_URL|REDIS_URL)$/);
      if (preset !== undefined) expect(schema.safeParse(preset).success).toBe(true);
    }
    expect(new Set(ALL.map(({ name }) => name)).size).toBe(ALL.length);
  });

  it('print as one table, a row for each', () => {
    const lines = settingsMarkdown().trimEnd().split('\n');
    expect(lines).toHaveLength(ALL.length + 2);
    for (const line of lines) expect(line.split(/(?<!\\)\|/)).toHaveLength(6);
    expect(lines.find((line) => line.includes('DATABASE_URL'))).toContain('**Secret.**');
  });

  it('stand in the README as they are', async () => {
    const readme = await readFile(new URL('../../../README.md', import.meta.url), 'utf8');
    expect(readme).toContain(settingsMarkdown());
  });
});
