// Makes a bare clone ready, and does nothing when it already is. No dependencies: it runs before there are any.
//
//   node scripts/setup.mjs           install and build only where something is missing or out of date
//   node scripts/setup.mjs --build   always build (incremental)
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  existsSync,
  linkSync,
  lstatSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('..', import.meta.url));
const SOURCES = ['apps', 'libs', 'test', 'bench'];
const INSTALL_STAMP = join(ROOT, 'node_modules', '.forkline-stamp');
const BUILD_STAMP = join(ROOT, 'dist', '.forkline-build');
const LOCK = join(ROOT, '.forkline-setup.lock');
const LOCK_WAIT_MS_MAX = 10 * 60_000;

requireNode(20, 19);
withLock(() => {
  installed();
  built(process.argv.includes('--build'));
});

function requireNode(major, minor) {
  const [has, hasMinor] = process.versions.node.split('.').map(Number);
  if (has > major || (has === major && hasMinor >= minor)) return;
  fail(
    `Forkline needs Node ${major}.${minor} or newer; this is ${process.versions.node}.`,
    'Install a newer Node and run the command again.',
  );
}

function installed() {
  const modules = join(ROOT, 'node_modules');
  // Several checkouts may share one installation through a link; it belongs to the other one.
  if (existsSync(modules) && lstatSync(modules).isSymbolicLink()) return;
  const wanted = hashOf([readFileSync(join(ROOT, 'package-lock.json'))]);
  if (textOf(INSTALL_STAMP) === wanted) return;
  say('Installing packages from the npm registry (once; a minute or two) ...');
  run(
    'npm',
    ['ci', '--no-audit', '--no-fund', '--loglevel=error'],
    'The packages could not be installed.',
    'Check that the npm registry can be reached (npm ping) and run the command again.',
  );
  writeFileSync(INSTALL_STAMP, wanted);
}

function built(always) {
  run(
    process.execPath,
    [join(ROOT, 'scripts', 'generate-client.mjs')],
    'The database client could not be generated.',
    'Mend prisma/schema.prisma as told above.',
  );
  const files = SOURCES.flatMap((folder) => filesUnder(join(ROOT, folder)));
  const wanted = hashOf([
    ...files.map((file) => `${relative(ROOT, file)} ${statSync(file).size} ${statSync(file).mtimeMs}`),
    readFileSync(join(ROOT, 'tsconfig.json')),
    readFileSync(join(ROOT, 'package-lock.json')),
  ]);
  if (!always && textOf(BUILD_STAMP) === wanted) return;
  removeOrphans();
  if (!always) say('Building ...');
  run(
    process.execPath,
    [join(ROOT, 'node_modules', 'typescript', 'bin', 'tsc'), '-p', ROOT],
    'The build failed.',
    'Mend the errors above.',
  );
  mkdirSync(join(ROOT, 'dist'), { recursive: true });
  writeFileSync(BUILD_STAMP, wanted);
}

// A test whose source is gone must not go on running.
function removeOrphans() {
  for (const folder of SOURCES) {
    for (const file of filesUnder(join(ROOT, 'dist', folder), /\.js(\.map)?$/)) {
      const source = join(ROOT, relative(join(ROOT, 'dist'), file)).replace(/\.js(\.map)?$/, '.ts');
      if (!existsSync(source)) rmSync(file);
    }
  }
}

function filesUnder(folder, pattern = /\.ts$/) {
  if (!existsSync(folder)) return [];
  return readdirSync(folder, { recursive: true })
    .map(String)
    .filter((name) => pattern.test(name))
    .sort()
    .map((name) => join(folder, name));
}

function withLock(work) {
  const mine = `${LOCK}.${process.pid}`;
  const waitUntil = Date.now() + LOCK_WAIT_MS_MAX;
  for (;;) {
    try {
      // Linked whole, so that nobody ever reads a lock without its owner.
      writeFileSync(mine, String(process.pid));
      linkSync(mine, LOCK);
      break;
    } catch (error) {
      if (error.code !== 'EEXIST') throw error;
      if (!isAlive(Number(textOf(LOCK)))) rmSync(LOCK, { force: true });
      else if (Date.now() > waitUntil)
        fail('Another setup is running and does not end.', `Stop it, or remove ${LOCK}.`);
      else Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 250);
    } finally {
      rmSync(mine, { force: true });
    }
  }
  process.on('exit', () => rmSync(LOCK, { force: true }));
  for (const signal of ['SIGINT', 'SIGTERM']) process.on(signal, () => process.exit(1));
  work();
}

function isAlive(pid) {
  if (!Number.isInteger(pid) || pid <= 0) return false;
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return error.code === 'EPERM';
  }
}

function run(command, args, problem, action) {
  const result = spawnSync(command, args, { cwd: ROOT, stdio: ['ignore', 'inherit', 'inherit'] });
  if (result.status !== 0) fail(problem, action);
}

function textOf(path) {
  return existsSync(path) ? readFileSync(path, 'utf8') : '';
}

function hashOf(parts) {
  const hash = createHash('sha256');
  for (const part of parts) hash.update(part).update('\n');
  return hash.digest('hex');
}

function say(text) {
  process.stderr.write(`${text}\n`);
}

function fail(problem, action) {
  say(`${problem} ${action}`);
  process.exit(1);
}
