import { mkdir, readdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { describe, expect, it } from '@jest/globals';
import { inFolder } from '../../test/support/command-line.js';
import { sha256 } from '#deliverables';
import { requireFolder, writeFolder, type FolderFile } from './write-folder.js';

describe('writeFolder', () => {
  it('makes the folder and those above it, and leaves nothing beside it', async () => {
    await inFolder(async (dir) => {
      await writeFolder(join(dir, 'a/b/out'), withManifest({ 'draft.json': '{}' }));
      expect(await readdir(join(dir, 'a/b'))).toEqual(['out']);
      expect((await readdir(join(dir, 'a/b/out'))).sort()).toEqual(['draft.json', 'manifest.json']);
    });
  });

  it('replaces an earlier draft and takes away what only that one had', async () => {
    await inFolder(async (dir) => {
      await writeFolder(dir, withManifest({ 'draft.json': 'old', 'proof.svg': 'old' }));
      await writeFolder(dir, withManifest({ 'draft.json': 'new' }));
      expect((await readdir(dir)).sort()).toEqual(['draft.json', 'manifest.json']);
      expect(await readFile(join(dir, 'draft.json'), 'utf8')).toBe('new');
    });
  });

  it('leaves alone what it did not write, and what was changed since', async () => {
    await inFolder(async (dir) => {
      await writeFolder(dir, withManifest({ 'draft.json': 'old', 'proof.svg': 'old' }));
      await writeFile(join(dir, 'notes.txt'), 'by hand');
      await writeFile(join(dir, 'proof.svg'), 'drawn upon');
      await writeFolder(dir, withManifest({ 'draft.json': 'new' }));
      expect((await readdir(dir)).sort()).toEqual(['draft.json', 'manifest.json', 'notes.txt', 'proof.svg']);
    });
  });

  it('deletes nothing outside the folder, whatever a manifest says', async () => {
    await inFolder(async (dir) => {
      const out = join(dir, 'out');
      await mkdir(out);
      await writeFile(join(dir, 'outside.txt'), 'old');
      const forged = manifestOf([textFile('../outside.txt', 'old')]);
      await writeFile(join(out, 'manifest.json'), forged.bytes);
      await writeFolder(out, withManifest({ 'draft.json': 'new' }));
      expect(await readFile(join(dir, 'outside.txt'), 'utf8')).toBe('old');
    });
  });

  it.each(['', 'null', '{"files": 3}', '{"files": [{"name": null}]}'])(
    'is not thrown by a manifest that is %p',
    async (text) => {
      await inFolder(async (dir) => {
        await writeFile(join(dir, 'manifest.json'), text);
        await writeFolder(dir, withManifest({ 'draft.json': 'new' }));
        expect((await readdir(dir)).sort()).toEqual(['draft.json', 'manifest.json']);
      });
    },
  );
});

describe('requireFolder', () => {
  it('accepts a folder, and one that can be made', async () => {
    await inFolder(async (dir) => {
      await requireFolder(dir);
      await requireFolder(join(dir, 'new/newer'));
    });
  });

  it('refuses a file in the place of the folder or on the way to it', async () => {
    await inFolder(async (dir) => {
      await writeFile(join(dir, 'file'), '');
      await expect(requireFolder(join(dir, 'file'))).rejects.toThrow(
        /file is a file, and a folder is needed/,
      );
      await expect(requireFolder(join(dir, 'file/below'))).rejects.toThrow(
        /is a file, and a folder is needed/,
      );
    });
  });
});

function withManifest(texts: Readonly<Record<string, string>>): FolderFile[] {
  const files = Object.entries(texts).map(([name, text]) => textFile(name, text));
  return [...files, manifestOf(files)];
}

function manifestOf(files: readonly FolderFile[]): FolderFile {
  const listed = files.map(({ name, bytes }) => ({ name, bytes: bytes.length, sha256: sha256(bytes) }));
  return textFile('manifest.json', JSON.stringify({ files: listed }));
}

function textFile(name: string, text: string): FolderFile {
  return { name, bytes: new TextEncoder().encode(text) };
}
