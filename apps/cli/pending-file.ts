import { createReadStream, createWriteStream, type WriteStream } from 'node:fs';
import { rename, rm } from 'node:fs/promises';
import { once } from 'node:events';
import { join, resolve } from 'node:path';
import { finished, pipeline } from 'node:stream/promises';
import { folderBeside, settle } from './unfinished.js';

/**
 * A file that is written bit by bit beside its place and appears there in one step, whole.
 *
 * Nothing is left behind when the program ends before `place` or `discard`.
 */
export class PendingFile {
  private constructor(
    private readonly path: string,
    private readonly beside: string,
    private readonly stream: WriteStream,
  ) {}

  static async open(path: string): Promise<PendingFile> {
    const beside = await folderBeside(path);
    return new PendingFile(resolve(path), beside, createWriteStream(join(beside, 'file')));
  }

  /** Waits while the disk is behind, so that memory does not grow. */
  async write(text: string): Promise<void> {
    if (!this.stream.write(text)) await once(this.stream, 'drain');
  }

  /** Everything written to `other`, at the end of this one. `other` takes no more. */
  async append(other: PendingFile): Promise<void> {
    await other.close();
    await pipeline(createReadStream(join(other.beside, 'file')), this.stream, { end: false });
  }

  async place(): Promise<void> {
    await this.close();
    await rename(join(this.beside, 'file'), this.path);
    await this.discard();
  }

  async discard(): Promise<void> {
    await this.close();
    await rm(this.beside, { recursive: true });
    settle(this.beside);
  }

  private async close(): Promise<void> {
    if (this.stream.closed) return;
    this.stream.end();
    await finished(this.stream);
  }
}
