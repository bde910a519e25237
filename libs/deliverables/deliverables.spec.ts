import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { describe, expect, it } from '@jest/globals';
import { draftRequestHash, readDraftRequest, type DraftRequest } from '#contracts';
import { produceDeliverables, type Manifest, type ProductionStage } from '#deliverables';
import { manifestText } from './manifest.js';

const EXAMPLE = readFile(new URL('../../../examples/draft-request.json', import.meta.url), 'utf8');

async function example(change: Partial<Record<string, unknown>> = {}): Promise<DraftRequest> {
  const read = readDraftRequest({ ...(JSON.parse(await EXAMPLE) as object), ...change });
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.request;
}

describe('produceDeliverables', () => {
  it('gives every file that was asked for, each as the manifest lists it', async () => {
    const request = await example();
    const { files, requestHash } = await produceDeliverables(request, 'forkline test', () => undefined);
    const manifest = JSON.parse(new TextDecoder().decode(files.at(-1)?.bytes)) as Manifest;
    expect(manifest).toMatchObject({ engine: 'forkline test', requestHash: draftRequestHash(request) });
    expect(requestHash).toBe(manifest.requestHash);
    expect(manifest.files.map(({ name }) => name)).toEqual([
      'draft.json',
      'pattern.svg',
      'proof.png',
      'proof.svg',
      'request.json',
      'truing.json',
    ]);
    for (const { name, bytes, sha256, mediaType } of files.slice(0, -1)) {
      expect(manifest.files).toContainEqual({ name, bytes: bytes.length, sha256 });
      expect(createHash('sha256').update(bytes).digest('hex')).toBe(sha256);
      expect(mediaType).toMatch(/^(application|image)\//);
    }
  });

  it('says how far it has come, never backwards', async () => {
    const stages: ProductionStage[] = [];
    await produceDeliverables(await example(), 'forkline test', (stage) => stages.push(stage));
    const fractions = stages.map(({ fraction }) => fraction);
    expect(fractions).toEqual([...fractions].sort((a, b) => a - b));
    expect(stages[0]).toEqual({ stage: 'drafting', fraction: 0 });
  });

  it('stops at a stop finding and gives the files all the same', async () => {
    const alterations = [{ use: 'drop-crotch', with: { drop: 1 } }];
    const { answer, files } = await produceDeliverables(await example({ alterations }), 'v', () => undefined);
    expect(answer).toBe('stopped');
    expect(files.map(({ name }) => name)).toEqual(expect.arrayContaining(['draft.json', 'manifest.json']));
  });
});

describe('the manifest', () => {
  it('lists every file by name with its size and hash', () => {
    const provenance = { engine: 'forkline 0.1.0', requestHash: 'ff' };
    const listed = manifestText(provenance, [
      { name: 'b', bytes: new TextEncoder().encode('ü'), sha256: '60' },
      { name: 'a', bytes: new Uint8Array(), sha256: 'e3' },
    ]);
    expect(JSON.parse(listed)).toEqual({
      ...provenance,
      files: [
        { name: 'a', bytes: 0, sha256: 'e3' },
        { name: 'b', bytes: 2, sha256: '60' },
      ],
    });
  });
});
