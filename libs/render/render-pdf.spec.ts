import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { FinishedPattern } from '#finishing';
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
import { apartMm, joinTiles, nameOf } from '../../test/support/joined-tiles.js';
import { readPdf, type ReadPage, type ReadPdf } from '../../test/support/read-pdf.js';
import { surveyBodies } from '../../test/support/survey-bodies.js';
import { WORKED_BODY } from '../../test/support/worked-body.js';
import { renderPdf } from './render-pdf.js';

const OPTIONS = { title: 'Pattern order 1042', creator: 'forkline test', dated: '2026-04-01' };
const pattern = cutPattern(WORKED_BODY, 0.5);
const content = cutContentOf(pattern);

/** Pages side by side, no two of them within another's reach. */
const APART_MM = 10_000;

/** What the tiles may be off when they are joined. */
const JOINED_MM = 0.2;

type Pair = readonly [number, number];

function extent(points: readonly Pair[]): Pair {
  const span = (axis: 0 | 1): number =>
    Math.max(...points.map((p) => p[axis])) - Math.min(...points.map((p) => p[axis]));
  return [span(0), span(1)];
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
    const corners = pdf.pages.flatMap(({ paths }, page) =>
      paths
        .filter(({ layer }) => layer === 'cut line')
        .flatMap(({ points }) => points.map(([x, y]): Pair => [x + page * APART_MM, y])),
    );
    const outlines = pattern.pieces.map(({ cut }) => cut.map(({ at }) => at));
    expect(apartMm(corners, outlines, 0.1)).toBeLessThan(0.1);
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
    expectJoined(pdf.pages.slice(1), pattern);
  });
});

// Every paper four times, and the common area of two.
describe.each([
  ['a4', 'page'],
  ['letter', 'page'],
  ['a3', 'page'],
  ['tabloid', 'page'],
  ['letter', 'a4-letter'],
] as const)('tiles of twenty bodies, these on %s with the area %s,', (paper, area) => {
  const first = 4 * [...Object.keys(TILE_PAPERS), ''].indexOf(area === 'page' ? paper : '');

  it.each([0, 1, 2, 3])(
    'give their pieces within 0.2 mm when joined by their crosses: body %i',
    async (i) => {
      const body = surveyBodies()[first + i];
      const cut = cutPattern(body, 0.2 + 0.15 * i);
      const pdf = await readPdf(
        await renderPdf(tileSheets(cutContentOf(cut), paper, area, PLEX_WIDTHS), OPTIONS),
      );
      expectJoined(pdf.pages.slice(1), cut);
    },
  );
});

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

/** Joins the pages by their crosses, and says how far what they show lies from the pieces at most. */
function expectJoined(pages: readonly ReadPage[], { pieces }: Pick<FinishedPattern, 'pieces'>): void {
  const joined = joinTiles(pages);
  expect(joined.loose).toEqual([]);
  expect(joined.crossesApartMm).toBeLessThan(JOINED_MM);
  const outlines = pieces.map(({ cut }) => cut.map(({ at }) => at));
  expect(apartMm(joined.cutLine, outlines, JOINED_MM)).toBeLessThan(JOINED_MM);
}
