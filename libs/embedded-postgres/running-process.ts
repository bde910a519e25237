import { execFile } from 'node:child_process';
import { readFile } from 'node:fs/promises';
import { promisify } from 'node:util';

const run = promisify(execFile);

/** A process as another one can recognise it: a number is used again, a number and a start are not. */
export interface ProcessIdentity {
  readonly pid: number;
  readonly started: string;
}

/** Who `pid` is now; undefined when nothing runs under it. A zombie runs nothing. */
export async function identify(pid: number): Promise<ProcessIdentity | undefined> {
  const started = process.platform === 'linux' ? await startedByProc(pid) : await ask(pid, 'lstart=');
  return started === undefined || started === '' ? undefined : { pid, started };
}

export async function isRunning(identity: ProcessIdentity): Promise<boolean> {
  const now = await identify(identity.pid);
  return now?.started === identity.started;
}

/** The words `pid` was started with, one blank between them; empty when nothing runs under it. */
export async function commandLine(pid: number): Promise<string> {
  if (process.platform !== 'linux') return (await ask(pid, 'command=')) ?? '';
  return (await readIfThere(`/proc/${pid}/cmdline`))?.replaceAll('\0', ' ') ?? '';
}

// Fields of /proc/PID/stat after the program's name, which may itself hold blanks and brackets (proc(5)).
async function startedByProc(pid: number): Promise<string | undefined> {
  const text = await readIfThere(`/proc/${pid}/stat`);
  if (text === undefined) return undefined;
  const fields = text.slice(text.lastIndexOf(')') + 2).split(' ');
  return fields[0] === 'Z' || fields[0] === 'X' ? undefined : fields[19];
}

async function ask(pid: number, column: string): Promise<string | undefined> {
  try {
    return (await run('ps', ['-ww', '-o', column, '-p', String(pid)])).stdout.trim();
  } catch {
    return undefined; // ps answers 1 for a process that is not there
  }
}

async function readIfThere(path: string): Promise<string | undefined> {
  try {
    return await readFile(path, 'utf8');
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code === 'ENOENT' || code === 'ESRCH') return undefined;
    throw error;
  }
}
