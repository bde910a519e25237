// Everything `npm test` checks: format, lint, import rules, unused code, tests. Says at the end what was skipped.
//
//   node scripts/test.mjs [--only lint|jest] [jest arguments]
import { spawn } from 'node:child_process';
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
const report = join(mkdtempSync(join(tmpdir(), 'forkline-test-')), 'report.json');
// The lints keep one core busy and the tests wait now and then: side by side they end sooner.
await Promise.all([only === 'jest' ? undefined : lint(), only === 'lint' ? undefined : test()]);
if (only !== 'lint') sayWhatWasSkipped();
rmSync(join(report, '..'), { recursive: true, force: true });
console.log(failed.length === 0 ? '\nAll checks passed.' : `\nFailed: ${failed.join(', ')}.`);
process.exitCode = failed.length === 0 ? 0 : 1;

/** One after the other, each one's words together, so that they do not mix with the tests'. */
async function lint() {
  for (const [name, command, commandArgs] of LINTS) {
    const { status, said } = await run(bin(command), commandArgs, 'pipe');
    console.log(`\n== ${name}\n${said.trimEnd()}`.trimEnd());
    if (status !== 0) failed.push(name);
  }
}

async function test() {
  const jestArgs = ['--config', 'jest.config.mjs', '--json', '--outputFile', report, ...args];
  const { status } = await run(bin('jest'), jestArgs, 'inherit', {
    NODE_OPTIONS: '--experimental-vm-modules --disable-warning=ExperimentalWarning',
  });
  if (status !== 0) failed.push('tests');
}

function run(command, commandArgs, output, env = {}) {
  return new Promise((resolve) => {
    const child = spawn(command, commandArgs, {
      cwd: ROOT,
      stdio: ['ignore', output, output],
      env: { ...process.env, ...env },
    });
    let said = '';
    for (const stream of [child.stdout, child.stderr]) stream?.on('data', (part) => (said += part));
    child.once('error', (error) => resolve({ status: 1, said: error.message }));
    child.once('close', (status) => resolve({ status, said }));
  });
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
