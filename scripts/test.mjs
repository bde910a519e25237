// Everything `npm test` checks: format, lint, import rules, unused code, tests. Says at the end what was skipped.
//
//   node scripts/test.mjs [--only lint|jest] [jest arguments]
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('..', import.meta.url));
const bin = (name) => join(ROOT, 'node_modules', '.bin', name);
const args = process.argv.slice(2);
const only = args[0] === '--only' ? args.splice(0, 2)[1] : 'all';
if (!['all', 'lint', 'jest'].includes(only)) {
  console.error(`--only is ${only ?? 'empty'}; it takes lint or jest. Leave it out to run both.`);
  process.exit(1);
}

const LINTS = [
  ['format', 'prettier', ['--check', '--log-level', 'warn', '.']],
  ['lint', 'eslint', ['.']],
  [
    'imports',
    'depcruise',
    ['--config', '.dependency-cruiser.mjs', '--output-type', 'err', 'apps', 'libs', 'bench'],
  ],
  ['unused', 'knip', []],
];

const failed = [];
if (only !== 'jest') for (const [name, command, commandArgs] of LINTS) step(name, bin(command), commandArgs);
const report = join(mkdtempSync(join(tmpdir(), 'forkline-test-')), 'report.json');
if (only !== 'lint') {
  step('tests', bin('jest'), ['--config', 'jest.config.mjs', '--json', '--outputFile', report, ...args], {
    NODE_OPTIONS: '--experimental-vm-modules --disable-warning=ExperimentalWarning',
  });
  sayWhatWasSkipped();
}
rmSync(join(report, '..'), { recursive: true, force: true });
console.log(failed.length === 0 ? '\nAll checks passed.' : `\nFailed: ${failed.join(', ')}.`);
process.exitCode = failed.length === 0 ? 0 : 1;

function step(name, command, commandArgs, env = {}) {
  console.log(`\n== ${name}`);
  const { status } = spawnSync(command, commandArgs, {
    cwd: ROOT,
    stdio: 'inherit',
    env: { ...process.env, ...env },
  });
  if (status !== 0) failed.push(name);
}

function sayWhatWasSkipped() {
  if (!existsSync(report)) {
    console.log('\nJest ended before it wrote its report; what it would have skipped is not known.');
    return;
  }
  const { testResults } = JSON.parse(readFileSync(report, 'utf8'));
  const skipped = testResults.flatMap(({ assertionResults }) =>
    assertionResults.filter(({ status }) => status === 'pending').map(({ fullName }) => fullName),
  );
  console.log(
    skipped.length === 0
      ? '\nNo test was skipped.'
      : `\nSkipped by name:\n${skipped.map((name) => `  ${name}`).join('\n')}`,
  );
}
