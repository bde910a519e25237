import { execFile } from 'node:child_process';
import { cp, mkdir, readFile, symlink } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { dirname, join, relative } from 'node:path';
import { promisify } from 'node:util';
import { EmbeddedPostgresError } from './embedded-postgres-error.js';
import { giveTree, type ServerUser } from './server-user.js';
import { moveIntoPlace, stagingPath } from './staging.js';

const run = promisify(execFile);

export interface ServerPrograms {
  readonly initdb: string;
  readonly postgres: string;
  /** "18": data written by one major version cannot be read by another. */
  readonly majorVersion: string;
}

/** The npm package names processors its own way in one case. */
const PROCESSOR_NAMES: Readonly<Record<string, string>> = {
  ia32: 'ia32',
  x64: 'x64',
  arm64: 'arm64',
  arm: 'arm',
  ppc64: 'ppc64',
};

const SYSTEM_NAMES: Readonly<Record<string, string>> = { linux: 'linux', darwin: 'darwin', win32: 'windows' };

/**
 * The server's programs, from the npm package, where the server's user can run them.
 *
 * A checkout below a closed home folder (root's own, say) cannot be entered by the user the server runs as;
 * then the programs are copied into `home`, once.
 */
export async function reachablePrograms(home: string, user: ServerUser): Promise<ServerPrograms> {
  const packageDirectory = findPackage();
  await addMissingLinks(packageDirectory);
  const inPackage = await tryPrograms(packageDirectory, user);
  if (!(inPackage instanceof Error)) return inPackage;
  const copied = await tryPrograms(await copyPackage(packageDirectory, home, user), user);
  if (!(copied instanceof Error)) return copied;
  throw new EmbeddedPostgresError(
    'PROGRAMS_UNUSABLE',
    `The Postgres of ${packageDirectory} does not run on this machine. Set DATABASE_URL to a server of your own.`,
    { cause: copied },
  );
}

function findPackage(): string {
  const system = SYSTEM_NAMES[process.platform];
  const processor = PROCESSOR_NAMES[process.arch];
  try {
    const outer = createRequire(import.meta.url).resolve('embedded-postgres');
    const inner = createRequire(outer).resolve(`@embedded-postgres/${system}-${processor}`);
    return dirname(dirname(inner));
  } catch (cause) {
    throw new EmbeddedPostgresError(
      'PROGRAMS_MISSING',
      `No Postgres for ${process.platform} ${process.arch} is installed. Run npm ci with optional packages, or set DATABASE_URL to a server of your own.`,
      { cause },
    );
  }
}

async function tryPrograms(packageDirectory: string, user: ServerUser): Promise<ServerPrograms | Error> {
  const initdb = join(packageDirectory, 'native/bin/initdb');
  const postgres = join(packageDirectory, 'native/bin/postgres');
  try {
    const { stdout } = await run(postgres, ['--version'], { ...user, cwd: '/' });
    return { initdb, postgres, majorVersion: /(\d+)/.exec(stdout)?.[1] ?? stdout };
  } catch (error) {
    return error as Error;
  }
}

async function copyPackage(packageDirectory: string, home: string, user: ServerUser): Promise<string> {
  const { version } = JSON.parse(await readFile(join(packageDirectory, 'package.json'), 'utf8')) as {
    version: string;
  };
  const target = join(home, `programs-${version}`);
  const staging = stagingPath(home);
  await mkdir(staging, { mode: 0o755 });
  await cp(packageDirectory, staging, { recursive: true, verbatimSymlinks: true });
  await addMissingLinks(staging);
  await giveTree(user, staging); // its files may be closed to everybody but their owner
  await moveIntoPlace(staging, target);
  return target;
}

/** npm keeps no symbolic links; the package adds them in an install script, which may have been switched off. */
async function addMissingLinks(packageDirectory: string): Promise<void> {
  const list = await readFile(join(packageDirectory, 'native/pg-symlinks.json'), 'utf8').catch(() => '[]');
  for (const { source, target } of JSON.parse(list) as { source: string; target: string }[]) {
    try {
      await symlink(relative(dirname(target), source), join(packageDirectory, target));
    } catch (error) {
      const { code } = error as NodeJS.ErrnoException;
      // Not ours to write: whether a link was needed shows when the program is tried.
      if (!['EEXIST', 'EACCES', 'EPERM', 'EROFS'].includes(code ?? '')) throw error;
    }
  }
}
