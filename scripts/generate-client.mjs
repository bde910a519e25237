// Generates the Prisma client into libs/persistence/generated, when the schema or Prisma has changed since.
// Needs node_modules and nothing from the network; has no dependencies of its own.
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('..', import.meta.url));
const schema = join(root, 'prisma/schema.prisma');
const stamp = join(root, 'libs/persistence/generated/.stamp');
const prismaPackage = createRequire(join(root, 'package.json')).resolve('prisma/package.json');

/** Generates unless the stamp says that these very inputs were generated already. */
export function generateClient() {
  const version = JSON.parse(readFileSync(prismaPackage, 'utf8')).version;
  const wanted = createHash('sha256').update(readFileSync(schema)).update(version).digest('hex');
  if (existsSync(stamp) && readFileSync(stamp, 'utf8') === wanted) return;
  rmSync(stamp, { force: true }); // a generation that is killed must not pass for a whole one
  const cli = join(prismaPackage, '../build/index.js');
  const { status, stdout, stderr } = spawnSync(process.execPath, [cli, 'generate', '--schema', schema], {
    cwd: root,
    encoding: 'utf8',
    // Prisma would download a program that generating does not run; any file that exists stops it.
    env: {
      ...process.env,
      PRISMA_SCHEMA_ENGINE_BINARY: process.execPath,
      PRISMA_HIDE_UPDATE_MESSAGE: '1',
      CHECKPOINT_DISABLE: '1',
    },
  });
  if (status !== 0) throw new Error(`prisma generate failed:\n${stdout}${stderr}`);
  writeFileSync(stamp, wanted);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) generateClient();
