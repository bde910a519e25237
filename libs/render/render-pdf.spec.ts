import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import {
  cutSheets,
  PLEX_WIDTHS,
  SHEET_PAPERS,
  TILE_PAPERS,
  tileSheets,
  type SheetPaper,
  type TilePaper,
} from '#sheets';
import { cutContentOf, cutPattern } from '../../test/support/cut-patterns.js';
import { describeWith, POPPLER, QPDF } from '../../test/support/needs.js';
import { readPdf, type ReadPage, type ReadPdf } from '../../test/support/read-pdf.js';
import { surveyBodies } from '../../test/support/survey-bodies.js';
import { WORKED_BODY } from '../../test/support/worked-body.js';
import { renderPdf } from './render-pdf.js';

const OPTIONS = { title: 'Pattern order 1042', creator: 'forkline test', dated: '2026-04-01' };
const pattern = cutPattern(WORKED_BODY, 0.5);
const content = cutContentOf(pattern);

type Pair = readonly [number, number];

function extent(points: readonly Pair[]): Pair {
  const span = (axis: 0 | 1): number =>
    Math.max(...points.map((p) => p[axis])) - Math.min(...points.map((p) => p[axis]));
  return [span(0), span(1)];
}

/** Width and height of every cut line of a page, in the order of the pieces drawn on it. */
function cutExtents(pages: readonly ReadPage[]): Pair[] {
  return pages.flatMap(({ paths }) =>
    paths.filter(({ layer }) => layer === 'cut line').map(({ points }) => extent(points)),
  );
}

function expectTestMarks(page: ReadPage): void {
  const sizes = page.paths.filter(({ layer }) => layer === 'test square').map(({ points }) => extent(points));
  // 4 inches are 101.6 mm by definition.
  for (const wanted of [100, 101.6]) {
    const nearest = Math.min(...sizes.map(([width]) => Math.abs(width - wanted)));
    expect(nearest).toBeLessThan(0.01);
  }
  expect(sizes.some(([width, height]) => Math.abs(width - 100) < 0.01 && Math.abs(height - 100) < 0.01)).toBe(
    true,
  );
}

// Outside reader: pdf.js.
describe.each(Object.keys(SHEET_PAPERS) as SheetPaper[])('the sheet on %s', (paper) => {
  let pdf: ReadPdf;
  beforeAll(async () => {
    pdf = await readPdf(await renderPdf(cutSheets(content, paper, PLEX_WIDTHS), OPTIONS));
  });

  it('is as wide as the paper, no page longer than a PDF may be', () => {
    for (const page of pdf.pages) {
      expect(page.widthMm).toBeCloseTo(SHEET_PAPERS[paper].widthMm, 2);
      expect(page.heightMm).toBeLessThanOrEqual(5080);
      if (paper === 'a0') expect(page.heightMm).toBeCloseTo(1189, 2);
    }
  });

  it('has the test square and the bar of 4 inches on its first page', () => {
    expectTestMarks(pdf.pages[0]);
  });

  it('has every piece within the paper, at true size within 0.1 mm', () => {
    const drawn = cutExtents(pdf.pages);
    const wanted = pattern.pieces.map(({ cut }) => extent(cut.map(({ at }): Pair => [at.x, at.y])));
    expect(drawn).toHaveLength(wanted.length);
    for (const [width, height] of wanted) {
      const off = drawn.map((each) => Math.max(Math.abs(each[0] - width), Math.abs(each[1] - height)));
      expect(Math.min(...off)).toBeLessThan(0.1);
    }
    for (const page of pdf.pages) {
      for (const [x, y] of page.paths.flatMap(({ points }) => points)) {
        expect(x).toBeGreaterThanOrEqual(0);
        expect(x).toBeLessThanOrEqual(page.widthMm);
        expect(y).toBeGreaterThanOrEqual(0);
        expect(y).toBeLessThanOrEqual(page.heightMm);
      }
    }
  });
});

describe.each(Object.keys(TILE_PAPERS) as TilePaper[])('tiles on %s', (paper) => {
  let pdf: ReadPdf;
  beforeAll(async () => {
    pdf = await readPdf(await renderPdf(tileSheets(content, paper, 'page', PLEX_WIDTHS), OPTIONS));
  });

  it('say on the first page how to print and join, with the square and a map of every page', () => {
    const [cover, ...tiles] = pdf.pages;
    expectTestMarks(cover);
    const said = cover.texts.join(' ');
    for (const word of ['100 %', 'Measure the square', 'Join the pages', 'Do not cut'])
      expect(said).toContain(word);
    for (const tile of tiles) expect(cover.texts).toContain(nameOf(tile));
  });

  it('have the size of the paper on every page', () => {
    for (const { widthMm, heightMm } of pdf.pages) {
      expect(widthMm).toBeCloseTo(TILE_PAPERS[paper].widthMm, 2);
      expect(heightMm).toBeCloseTo(TILE_PAPERS[paper].heightMm, 2);
    }
  });

  it('give the pieces within 0.2 mm when they are joined by their crosses', () => {
    expect(assembled(pdf.pages.slice(1))).toBeLessThan(0.2);
  });
});

it('joins the tiles of twenty bodies to their pieces within 0.2 mm', async () => {
  for (const body of surveyBodies().slice(0, 20)) {
    const pieces = cutContentOf(cutPattern(body, 0.4));
    const pdf = await readPdf(await renderPdf(tileSheets(pieces, 'a4', 'a4-letter', PLEX_WIDTHS), OPTIONS));
    expect(assembled(pdf.pages.slice(1))).toBeLessThan(0.2);
  }
}, 300_000);

it('prints one file for A4 and Letter within what both papers have', async () => {
  const pdf = await readPdf(await renderPdf(tileSheets(content, 'a4', 'a4-letter', PLEX_WIDTHS), OPTIONS));
  for (const { paths, widthMm, heightMm } of pdf.pages.slice(1)) {
    const frame = paths.filter(({ layer }) => layer === 'page joining').map(({ points }) => extent(points));
    const [width, height] = frame.reduce((most, each) => (each[0] > most[0] ? each : most));
    // Letter is 215.9 by 279.4 mm; centred on A4 the frame stays 5 mm within both.
    expect(width).toBeLessThanOrEqual(Math.min(widthMm, 215.9) - 10);
    expect(height).toBeLessThanOrEqual(Math.min(heightMm, 279.4) - 10);
  }
});

describe('renderPdf', () => {
  it('gives the same bytes each time, and no date where there is none', async () => {
    const sheets = cutSheets(content, 'a0', PLEX_WIDTHS);
    const twice = [await renderPdf(sheets, OPTIONS), await renderPdf(sheets, OPTIONS)];
    expect(Buffer.from(twice[0]).equals(Buffer.from(twice[1]))).toBe(true);
    const { info } = await readPdf(await renderPdf(sheets, { title: 'T', creator: 'C' }));
    expect(info['CreationDate']).toBeUndefined();
  });

  it('asks the viewer not to scale, names its layers, and says nothing of the body', async () => {
    const { printScaling, layers, info } = await readPdf(
      await renderPdf(cutSheets(content, 'roll-914', PLEX_WIDTHS), OPTIONS),
    );
    expect(printScaling).toBe('None');
    expect(layers).toEqual(expect.arrayContaining(['cut line', 'seam line', 'notches', 'labels']));
    expect(info).toMatchObject({ Title: OPTIONS.title, Creator: OPTIONS.creator });
    expect(Object.keys(info)).not.toContain('Subject');
  });
});

const folder = mkdtempSync(join(tmpdir(), 'forkline-pdf-'));
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

async function files(): Promise<string[]> {
  const drawn = {
    'sheet.pdf': cutSheets(content, 'a0', PLEX_WIDTHS),
    'tiles.pdf': tileSheets(content, 'letter', 'page', PLEX_WIDTHS),
  };
  const paths: string[] = [];
  for (const [name, sheets] of Object.entries(drawn)) {
    paths.push(join(folder, name));
    writeFileSync(join(folder, name), await renderPdf(sheets, OPTIONS));
  }
  return paths;
}

describeWith(QPDF, 'qpdf', () => {
  it('finds no fault in the sheet and the tiles', async () => {
    for (const path of await files()) {
      const { status, stdout } = spawnSync('qpdf', ['--check', path], { encoding: 'utf8' });
      expect({ status, stdout }).toEqual({ status: 0, stdout: expect.stringContaining('No syntax') });
    }
  });
});

describeWith(POPPLER, 'poppler', () => {
  it('finds every font embedded, and the words as text', async () => {
    const [sheet, tiles] = await files();
    for (const path of [sheet, tiles]) {
      const rows = spawnSync('pdffonts', [path], { encoding: 'utf8' }).stdout.trim().split('\n').slice(2);
      expect(rows.length).toBeGreaterThan(0);
      for (const row of rows) expect(row).toMatch(/IBMPlexSans\S* +CID TrueType +Identity-H +yes yes yes/);
    }
    const { stdout } = spawnSync('pdftotext', [sheet, '-'], { encoding: 'utf8' });
    for (const word of ['Front', 'Back', 'Waistband', 'order 1042', 'cut 2 (1 pair)'])
      expect(stdout).toContain(word);
  });

  it('reads the size of an A0 page', async () => {
    const [sheet] = await files();
    const { stdout } = spawnSync('pdfinfo', [sheet], { encoding: 'utf8' });
    expect(stdout).toContain('(A0)');
  });
});

function nameOf({ texts }: ReadPage): string {
  return texts.find((text) => /^[A-Z]+\d+$/.test(text)) ?? '?';
}

/** The middles of the crosses of a page, lower ones first, then from the left. */
function crossesOf({ paths }: ReadPage): Pair[] {
  return paths
    .filter(({ layer, points }) => layer === 'page joining' && points.length === 4)
    .map(({ points }): Pair => [(points[0][0] + points[1][0]) / 2, (points[2][1] + points[3][1]) / 2])
    .sort((a, b) => (Math.abs(a[1] - b[1]) < 1 ? a[0] - b[0] : a[1] - b[1]));
}

/**
 * Join the pages cross on cross from one to the next, and say how far the same cut line lies apart on two of them at
 * most, and how far the crosses of neighbours do.
 */
function assembled(pages: readonly ReadPage[]): number {
  const byName = new Map(pages.map((page) => [nameOf(page), page]));
  const origin = new Map<string, Pair>();
  let worst = 0;
  const place = (name: string, at: Pair): void => {
    const page = byName.get(name);
    if (page === undefined) return;
    const known = origin.get(name);
    if (known !== undefined) {
      worst = Math.max(worst, Math.abs(known[0] - at[0]), Math.abs(known[1] - at[1]));
      return;
    }
    origin.set(name, at);
    const [row, column] = [name.replace(/\d+/, ''), Number(name.replace(/\D+/, ''))];
    const below = String.fromCharCode(row.charCodeAt(0) + 1);
    const above = String.fromCharCode(row.charCodeAt(0) - 1);
    const own = crossesOf(page);
    for (const [next, mine, its] of [
      [`${row}${column + 1}`, 1, 0],
      [`${row}${column - 1}`, 0, 1],
      [`${below}${column}`, 0, 2],
      [`${above}${column}`, 2, 0],
    ] as const) {
      const other = byName.get(next);
      if (other === undefined) continue;
      const cross = crossesOf(other)[its];
      place(next, [at[0] + own[mine][0] - cross[0], at[1] + own[mine][1] - cross[1]]);
    }
  };
  place(nameOf(pages[0]), [0, 0]);
  expect(origin.size).toBe(pages.length);
  return Math.max(worst, apart(pages, origin));
}

/** How far the same cut line, wherever it is drawn, lies from where it was first seen. */
function apart(pages: readonly ReadPage[], origin: ReadonlyMap<string, Pair>): number {
  const seen = new Map<string, readonly Pair[]>();
  let worst = 0;
  for (const page of pages) {
    const [dx, dy] = origin.get(nameOf(page)) ?? [NaN, NaN];
    for (const { layer, points } of page.paths) {
      if (layer !== 'cut line') continue;
      const here = points.map(([x, y]): Pair => [x + dx, y + dy]);
      const shape = `${points.length} ${extent(points)
        .map((mm) => mm.toFixed(1))
        .join(' ')}`;
      const first = seen.get(shape) ?? here;
      seen.set(shape, first);
      for (const [i, [x, y]] of here.entries())
        worst = Math.max(worst, Math.abs(x - first[i][0]), Math.abs(y - first[i][1]));
    }
  }
  expect(seen.size).toBeGreaterThan(3);
  return worst;
}
