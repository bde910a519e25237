import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from '@jest/globals';
import { readDraftRequest } from '#contracts';
import { engineVersion, produceDeliverables } from '#deliverables';
import { cutPattern } from '../support/cut-patterns.js';
import { describeWith, EZDXF, POPPLER, QPDF } from '../support/needs.js';
import { greyPixelsOf, type Pixels } from '../support/png-pixels.js';
import { WORKED_BODY } from '../support/worked-body.js';

// The files a person prints and cuts from, judged by programs that know nothing of patterns.

const dir = mkdtempSync(join(tmpdir(), 'forkline-cut-files-'));
const PDFS = ['sheet.pdf', 'tiles-a4.pdf', 'tiles-letter.pdf', 'tiles-a3.pdf', 'tiles-tabloid.pdf'];
const OUTPUTS = ['sheet', 'tiles-a4', 'tiles-letter', 'tiles-a3', 'tiles-tabloid', 'dxf', 'plot', 'bundle'];
/** 10 pixels a millimetre. */
const DPI = '254';
/** A printed line is less than this wide; its edges may be grey. */
const LINE_PX = 6;

beforeAll(async () => {
  const request = { body: WORKED_BODY, block: 'from-body', outputs: OUTPUTS, dated: '2026-04-01' };
  const read = readDraftRequest({ ...request, alterations: [{ use: 'drop-crotch', with: { hemIn: 10 } }] });
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  const { files } = await produceDeliverables(read.request, engineVersion(), () => undefined);
  for (const { name, bytes } of files) writeFileSync(join(dir, name), bytes);
});
afterAll(() => {
  rmSync(dir, { recursive: true, force: true });
});

function say(program: string, ...args: string[]): string {
  const { status, stdout, stderr, error } = spawnSync(program, args, { cwd: dir, encoding: 'utf8' });
  if (status !== 0) throw new Error(`${program} ${args.join(' ')}: ${error?.message ?? stderr}`);
  return stdout;
}

describeWith(QPDF, 'a PDF, by qpdf,', () => {
  it.each(PDFS)('has no fault of form: %s', (name) => {
    expect(say('qpdf', '--check', name)).toMatch(/No syntax or stream encoding errors found/);
  });
});

describeWith(POPPLER, 'a PDF, by poppler,', () => {
  it.each(PDFS)('brings its fonts along: %s', (name) => {
    const fonts = say('pdffonts', name).trim().split('\n').slice(2);
    expect(fonts.length).toBeGreaterThan(0);
    for (const font of fonts) expect(font).toMatch(/ yes yes yes +\d+ +0$/); // embedded, subset, with Unicode
  });

  // ISO 216 and ANSI/ASME Y14.1, in mm.
  it.each([
    ['tiles-a4.pdf', 210, 297],
    ['tiles-a3.pdf', 297, 420],
    ['tiles-letter.pdf', 215.9, 279.4],
    ['tiles-tabloid.pdf', 279.4, 431.8],
  ])('has pages of the paper it is named for: %s', (name, widthMm, heightMm) => {
    const [, width, height] = /Page size: +([\d.]+) x ([\d.]+) pts/.exec(say('pdfinfo', name)) ?? [];
    expect((Number(width) * 25.4) / 72).toBeCloseTo(widthMm, 1);
    expect((Number(height) * 25.4) / 72).toBeCloseTo(heightMm, 1);
  });

  it.each(PDFS.slice(1))('draws the test square 100 mm wide and high on the first page: %s', (name) => {
    // The square stands at the left, the map right of it.
    const first = ['-r', DPI, '-f', '1', '-l', '1', '-x', '0', '-W', '1150', '-singlefile', '-gray'];
    say('pdftoppm', ...first, name, name);
    const pixels = greyPixelsOf(readFileSync(join(dir, `${name}.pgm`)));
    const [left, right] = longLines(pixels, 'upright');
    const [top, bottom] = longLines(pixels, 'level');
    // Within 0.1 mm, which is one pixel.
    expect(Math.abs(right - left - 1000)).toBeLessThanOrEqual(1);
    expect(Math.abs(bottom - top - 1000)).toBeLessThanOrEqual(1);
  });

  it('asks the viewer for the true size, names the pages and holds no measure of the body', () => {
    const text = say('pdftotext', '-layout', 'tiles-a4.pdf', '-');
    expect(text).toMatch(/100 mm/);
    expect(text).toMatch(/^A1\b/m);
    const body = Object.values(WORKED_BODY.measures).join('|');
    for (const name of PDFS) {
      expect(readFileSync(join(dir, name), 'latin1')).toMatch(/\/PrintScaling \/None/);
      expect(say('pdfinfo', name)).not.toMatch(new RegExp(`\\b(${body})\\b(?! pts)`));
      expect(say('pdftotext', name, '-')).not.toMatch(new RegExp(`\\b(${body}) ?mm\\b`));
    }
  });
});

describeWith(EZDXF, 'a pattern DXF, by ezdxf,', (python) => {
  it('has each piece with its area and the length of its cut line', () => {
    const script = join(import.meta.dirname, '../../../test/outside/read-dxf.py');
    const read = JSON.parse(say(python, script, 'pattern.dxf')) as DxfRead;
    expect(read.version).toBe('AC1009'); // release 12, as ASTM D6673 asks
    const pieces = cutPattern(WORKED_BODY, 0.5, undefined).pieces.filter(({ id }) => !/pocket/.test(id));
    expect(read.pieces.map(({ name }) => name.toLowerCase())).toEqual(pieces.map(({ id }) => id));
    for (const [i, { cut }] of pieces.entries()) {
      const points = cut.map(({ at }) => at);
      const twice = points.reduce((sum, p, j) => {
        const q = points[(j + 1) % points.length];
        return sum + p.x * q.y - q.x * p.y;
      }, 0);
      expect(Math.abs(read.pieces[i].area / (Math.abs(twice) / 2) - 1)).toBeLessThan(0.001);
    }
  });
});

interface DxfRead {
  readonly version: string;
  readonly pieces: readonly { readonly name: string; readonly area: number; readonly length: number }[];
}

/** Middles of the two ruled lines of 950 to 1010 pixels that are the sides of a square, looked for left of the map. */
function longLines(pixels: Pixels, way: 'upright' | 'level'): [number, number] {
  const across = way === 'upright' ? Math.min(pixels.widthPx, 1150) : pixels.heightPx;
  const along = way === 'upright' ? pixels.heightPx : Math.min(pixels.widthPx, 1150);
  const found: number[] = [];
  for (let i = 0; i < across; i++) {
    let run = 0;
    let longest = 0;
    for (let j = 0; j < along; j++) {
      const dark = way === 'upright' ? pixels.darkness(i, j) : pixels.darkness(j, i);
      run = dark > 100 ? run + 1 : 0;
      if (run > longest) longest = run;
    }
    if (longest >= 950 && longest <= 1010) found.push(i);
  }
  const groups: number[][] = [];
  for (const i of found) {
    const last = groups[groups.length - 1];
    if (last !== undefined && i - last[last.length - 1] <= LINE_PX) last.push(i);
    else groups.push([i]);
  }
  const middles = groups.map((group) => (group[0] + group[group.length - 1]) / 2);
  if (middles.length !== 2) throw new Error(`${middles.length} long lines ${way}: ${middles.join(', ')}`);
  return [middles[0], middles[1]];
}
