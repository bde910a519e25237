import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { describe, expect, it, jest } from '@jest/globals';
import { DXF_LIMITS } from '#interchange';
import { numbersFrom } from '../../test/support/random-numbers.js';
import type { BatchOrder, BatchResult } from '../../test/support/hostile-batch.js';
import { HOSTILE } from '../../test/support/hostile-dxf.js';
import { blocks, HOSTILE_LARGE, ring } from '../../test/support/hostile-large-dxf.js';
import { dxfOf } from '../../test/support/dxf-of.js';
import { IS_NIGHT, SEED } from '../../test/support/seed.js';
import { soundPatterns } from '../../test/support/sound-patterns.js';
import { surveyBodies } from '../../test/support/survey-bodies.js';
import { CHECK_DEFAULTS, checkPattern } from './index.js';

const next = numbersFrom(SEED);

// A run at night takes minutes; more than this is a file that hangs, and its name stands last on the error stream.
const HANGS_MS = IS_NIGHT ? 3_600_000 : 300_000;
jest.setTimeout(HANGS_MS + 10_000);

/** What a thread of the service may take by default is 512 (`FORKLINE_COMPUTE_HEAP_MB`); its program is in that. */
const HEAP_MB = 400;
/** The same, with the text itself and what the program takes beside its heap. */
const PEAK_MB = 640;
/** Processor time, so that what else the machine does counts for nothing: the order says that no file may take more. */
const CPU_MS_MAX = 5_000;

function run(order: BatchOrder): BatchResult {
  const script = join(import.meta.dirname, '../../test/support/hostile-batch.js');
  const words = [`--max-old-space-size=${HEAP_MB}`, script, JSON.stringify(order)];
  const ended = spawnSync(process.execPath, words, {
    encoding: 'utf8',
    timeout: HANGS_MS,
    maxBuffer: 64 * 2 ** 20,
  });
  if (ended.status !== 0) {
    const said = ended.stderr.trimEnd().split('\n').slice(-30).join('\n');
    throw new Error(`ended with ${ended.status ?? ended.signal} after:\n${said}`);
  }
  return JSON.parse(ended.stdout) as BatchResult;
}

function expectSound(result: BatchResult, count: number): void {
  if (IS_NIGHT) process.stdout.write(`${JSON.stringify(result)}\n`);
  expect(result.wrong).toEqual([]);
  expect(result.answered).toBe(count);
  expect(result.peakMb).toBeLessThan(PEAK_MB);
  if (IS_NIGHT) expect(result.slowest.cpuMs).toBeLessThan(CPU_MS_MAX);
}

describe(`files made to break the reader, seed ${SEED}`, () => {
  const each = IS_NIGHT ? Math.ceil(1000 / HOSTILE.length) : 2;

  it(`${each * HOSTILE.length} of ${HOSTILE.length} hostile kinds are answered with findings, within ${HEAP_MB} MB`, () => {
    expectSound(run({ seed: SEED, mutants: 0, each, large: false }), each * HOSTILE.length);
  });

  const mutants = IS_NIGHT ? 10_000 : 200;

  it(`${mutants} sound files with lines and groups changed, lost, doubled and moved are answered`, () => {
    const result = run({ seed: SEED, mutants, each: 0, large: false });
    expectSound(result, mutants);
    // They reach all of the check, not only its door.
    expect(result.asTrouser).toBeGreaterThan(mutants / 10);
  });

  if (IS_NIGHT)
    it(`${HOSTILE_LARGE.length} files as large as are read are answered within ${HEAP_MB} MB`, () => {
      expectSound(run({ seed: SEED, mutants: 0, each: 0, large: true }), HOSTILE_LARGE.length);
    });

  it('a file past the limit is refused before it is read', () => {
    const text = '0\n'.repeat(DXF_LIMITS.characters / 2 + 1);
    expect(checkPattern(text, CHECK_DEFAULTS).report.findings.map(({ code }) => code)).toEqual([
      'DXF_TOO_LARGE',
    ]);
  });

  it('pieces past the effort of one file are named and not judged', () => {
    const full = HOSTILE_LARGE.find(({ name }) => name === 'pieces full of lines and marks')?.text() ?? '';
    const { findings, sewable } = checkPattern(full, CHECK_DEFAULTS).report;
    const dense = findings.filter(({ code }) => code === 'PIECE_TOO_DENSE');
    expect([dense.length > 0, dense.every(({ level }) => level === 'stop'), sewable]).toEqual([
      true,
      true,
      false,
    ]);
    for (const { place, message } of dense) expect(message).toContain(`${place.piece} was not judged`);
    // A trouser of ours takes so little of it that ten are judged.
    const [{ pattern }] = soundPatterns(surveyBodies(), 1, next);
    const codes = checkPattern(dxfOf(Array(10).fill(pattern.pieces).flat()), CHECK_DEFAULTS).report.findings;
    expect(codes.map(({ code }) => code)).not.toContain('PIECE_TOO_DENSE');
  });

  it('more lefts and rights than are laid on each other are said', () => {
    const text = (count: number): string =>
      blocks(
        count,
        (i) =>
          ring(1, [
            [0, 0],
            [300, 0],
            [300, 400],
          ]) + `0\nTEXT\n8\n1\n10\n1\n20\n1\n1\nPiece Name:FRONT ${i % 2 === 0 ? 'LEFT' : 'RIGHT'}\n`,
      ).replace(/Piece Name:P\d+/g, 'Note:1');
    const codesOf = (count: number): string[] =>
      checkPattern(text(count), CHECK_DEFAULTS).report.findings.map(({ code }) => code);
    expect(codesOf(4)).not.toContain('PAIRS_NOT_COMPARED');
    expect(codesOf(20).filter((code) => code === 'PAIRS_NOT_COMPARED')).toHaveLength(1);
  });

  it('a file of more kinds of unread parts than are listed counts the rest', () => {
    const [{ pattern }] = soundPatterns(surveyBodies(), 1, next);
    const kinds = Array.from({ length: 200 }, (_, i) => `0\nODDITY${i}\n8\n1\n`).join('');
    const text = dxfOf(pattern.pieces).replace(
      /0\r?\nEOF/,
      `0\nSECTION\n2\nENTITIES\n${kinds}0\nENDSEC\n0\nEOF`,
    );
    const { unread } = checkPattern(text, CHECK_DEFAULTS).report.file;
    expect(unread.length).toBeLessThanOrEqual(61);
    expect(unread.reduce((sum, { count }) => sum + count, 0)).toBeGreaterThanOrEqual(200);
  });
});
