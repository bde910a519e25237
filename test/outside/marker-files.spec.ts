import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { markerDeliverables } from '#deliverables';
import { Laying, laidFile, MARKER_OUTPUTS, markersToWrite, planLaying, type MarkerToWrite } from '#laying';
import { garmentsToLay } from '../support/garments-to-lay.js';
import { describeWith, EZDXF, POPPLER, QPDF } from '../support/needs.js';
import { readPdf } from '../support/read-pdf.js';
import { readPlot } from '../support/read-plot.js';

// What a cutting room gets of a marker, judged by programs that know nothing of markers and by readers of the tests' own.

const dir = mkdtempSync(join(tmpdir(), 'forkline-marker-files-'));
const ENGINE = 'forkline test';
const UNITS_PER_MM = 40;
/** Cut lines are written in chords as they are; a plotter unit is 0.025 mm, DXF has two decimals. */
const WRITTEN_MM = 0.02;
let marker: MarkerToWrite;

interface WrittenMarker {
  readonly length: number;
  readonly pieces: readonly {
    readonly id: string;
    readonly outline: readonly (readonly [number, number])[];
  }[];
  readonly placements: readonly {
    readonly piece: string;
    readonly name: string;
    readonly garment: number;
    readonly turn: number;
    readonly mirrored: boolean;
    readonly x: number;
    readonly y: number;
  }[];
}
let written: WrittenMarker;

beforeAll(async () => {
  const garments = garmentsToLay(3);
  const cloths = [
    { name: 'navy wool', use: 'shell', widthMm: 1500, selvedgeMm: 10, endMarginMm: 20, gapMm: 3 },
  ] as const;
  const answer = planLaying({ reference: 'lay 7', garments, cloths });
  if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
  const { plan } = answer;
  // Boxes only: longer than a page may be, so that the true-size sheet comes in sections.
  const laid = new Laying(plan, { seed: 1, chain: 0 }).best();
  [marker] = markersToWrite(plan, laid);
  const files = await markerDeliverables({
    reference: 'lay 7',
    json: laidFile(plan, laid, { engine: ENGINE }, []),
    markers: [marker],
    outputs: MARKER_OUTPUTS,
    provenance: { engine: ENGINE, requestHash: 'a'.repeat(64) },
    dated: '2026-04-01',
  });
  for (const { name, bytes } of files) writeFileSync(join(dir, name), bytes);
  [written] = (JSON.parse(read('marker.json')) as { markers: WrittenMarker[] }).markers;
});
afterAll(() => {
  rmSync(dir, { recursive: true, force: true });
});

function read(name: string): string {
  return readFileSync(join(dir, name), 'utf8');
}

function say(program: string, ...args: string[]): string {
  const { status, stdout, stderr, error } = spawnSync(program, args, { cwd: dir, encoding: 'utf8' });
  if (status !== 0) throw new Error(`${program} ${args.join(' ')}: ${error?.message ?? stderr}`);
  return stdout;
}

type Box = readonly [left: number, bottom: number, right: number, top: number];

/** Boxes of the outlines that marker.json places, by the contract of a layout: mirrored, turned, moved. */
function writtenBoxes(): Box[] {
  const outlines = new Map(written.pieces.map(({ id, outline }) => [id, outline]));
  return written.placements.map(({ piece, turn, mirrored, x, y }) => {
    const [cos, sin] = [Math.cos((turn * Math.PI) / 180), Math.sin((turn * Math.PI) / 180)];
    return boxOf(
      (outlines.get(piece) ?? []).map(([px, py]) => {
        const across = mirrored ? -px : px;
        return [x + across * cos - py * sin, y + across * sin + py * cos];
      }),
    );
  });
}

function boxOf(points: readonly (readonly number[])[]): Box {
  const [xs, ys] = [points.map((p) => p[0]), points.map((p) => p[1])];
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}

/** Each expected box is among the found ones: the laid outline stands out by at most 0.3 mm, the cut line is within. */
function expectBoxes(found: readonly Box[], accuracyMm: number): void {
  for (const wanted of writtenBoxes()) {
    const off = found.map((box) => Math.max(...box.map((value, i) => Math.abs(value - wanted[i]))));
    expect(Math.min(...off)).toBeLessThanOrEqual(0.3 + accuracyMm);
  }
}

describe('marker.json', () => {
  it('places every piece by its name', () => {
    expect(written.placements).toHaveLength(marker.marker.placements.length);
    const first = written.placements.filter(({ garment }) => garment === 1).map(({ name }) => name);
    expect(first).toEqual(
      expect.arrayContaining(['Front R', 'Front L', 'Back R', 'Back L', 'Waistband', 'Fly shield']),
    );
  });
});

describe('marker.plt, by a reader of its own,', () => {
  it('draws every cut line in place and letters every garment', () => {
    const { strokes, texts, instructions } = readPlot(read('marker.plt'));
    expect(instructions.slice(0, 3)).toEqual(['IN;', 'SP1;', 'PA;']);
    // The cloth's lower left corner is the first corner of the frame that is drawn first.
    const [left, bottom] = boxOf(strokes[0].points);
    const boxes = strokes.map(({ points }) =>
      boxOf(points.map(([x, y]) => [(x - left) / UNITS_PER_MM, (y - bottom) / UNITS_PER_MM])),
    );
    expectBoxes(boxes, 2 / UNITS_PER_MM);
    for (const { name, garment } of written.placements) {
      const own = [`${garment} ${name}`, String(garment)];
      expect(texts.filter(({ text }) => own.includes(text)).length).toBeGreaterThan(0);
    }
  });
});

describe('marker-sheet.pdf, by pdf.js,', () => {
  it('shows the marker at true size in sections that meet', async () => {
    const { pages, printScaling } = await readPdf(readFileSync(join(dir, 'marker-sheet.pdf')));
    expect(printScaling).toBe('None');
    expect(pages.length).toBe(Math.ceil(written.length / 5000));
    const lengths = pages.map(({ paths }) => {
      const [left, , right] = boxOf(paths.filter(({ layer }) => layer === 'cloth')[0].points);
      return right - left;
    });
    expect(lengths.reduce((sum, mm) => sum + mm, 0)).toBeCloseTo(written.length, 2);
    const [first] = pages;
    const square = first.paths
      .filter(({ layer }) => layer === 'test square')
      .map(({ points }) => boxOf(points));
    expect(square.some(([l, b, r, t]) => Math.abs(r - l - 100) < 0.01 && Math.abs(t - b - 100) < 0.01)).toBe(
      true,
    );
    const said = pages.flatMap(({ texts }) => texts);
    for (const { name, garment } of written.placements)
      expect(said.some((text) => text === `${garment} ${name}` || text === String(garment))).toBe(true);
    expect(said.filter((text) => text.startsWith('order 1042 · 36')).length).toBeGreaterThan(3);
  });
});

describeWith(QPDF, 'the PDFs of a marker, by qpdf,', () => {
  it.each(['marker.pdf', 'marker-sheet.pdf'])('have no fault of form: %s', (name) => {
    expect(say('qpdf', '--check', name)).toMatch(/No syntax or stream encoding errors found/);
  });
});

describeWith(POPPLER, 'the PDFs of a marker, by poppler,', () => {
  it('overview: one page, each garment in the list', () => {
    expect(say('pdfinfo', 'marker.pdf')).toMatch(/Pages: +1\n/);
    const text = say('pdftotext', '-layout', 'marker.pdf', '-');
    for (const [g, { reference }] of marker.request.garments.entries())
      expect(text).toContain(`${g + 1} ${reference}`);
    expect(text).toMatch(/utilisation \d+\.\d+ %/);
  });

  it('true size: the page is as high as the cloth and its margins, fonts are embedded', () => {
    const [, , height] = /Page size: +([\d.]+) x ([\d.]+) pts/.exec(say('pdfinfo', 'marker-sheet.pdf')) ?? [];
    const heightMm = (Number(height) * 25.4) / 72;
    expect(heightMm).toBeGreaterThan(1500 + 130);
    expect(heightMm).toBeLessThan(1500 + 200);
    const fonts = say('pdffonts', 'marker-sheet.pdf').trim().split('\n').slice(2);
    for (const font of fonts) expect(font).toMatch(/ yes yes yes +\d+ +0$/);
  });
});

describeWith(EZDXF, 'marker.dxf, by ezdxf,', (python) => {
  it('has a block for every piece, in place, closed, with its name, and no errors', () => {
    const script = join(import.meta.dirname, '../../../test/outside/read-dxf-pieces.py');
    const [found] = JSON.parse(say(python, script, join(dir, 'marker.dxf'))) as {
      readonly errors: readonly string[];
      readonly pieces: Readonly<
        Record<
          string,
          {
            readonly boundary: readonly { readonly closed: boolean; readonly points: number[][] }[];
            readonly notches: readonly unknown[];
            readonly grain: readonly (readonly number[])[];
          }
        >
      >;
    }[];
    expect(found.errors).toEqual([]);
    // Texts stand on a line of their own after group code 1.
    const texts = read('marker.dxf').split('\r\n');
    expect(texts).toContain('Style Name:lay 7');
    const pieces = Object.values(found.pieces);
    expect(pieces).toHaveLength(written.placements.length);
    expect(pieces.every(({ boundary }) => boundary.length === 1 && boundary[0].closed)).toBe(true);
    expectBoxes(
      pieces.map(({ boundary }) => boxOf(boundary[0].points)),
      WRITTEN_MM,
    );
    for (const { name, garment } of written.placements)
      expect(texts.some((text) => text.startsWith(`${garment} ${name} order`))).toBe(true);
    // Fronts and backs have notches; a marker without them cannot be sewn.
    expect(pieces.filter(({ notches }) => notches.length > 3).length).toBeGreaterThanOrEqual(12);
    for (const { grain } of pieces) expect(Math.abs(grain[0][1] - grain[1][1])).toBeLessThan(WRITTEN_MM);
  });
});
