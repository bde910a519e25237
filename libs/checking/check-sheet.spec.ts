import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from '@jest/globals';
import { mapCurve, scale } from '#geometry';
import { readDxf, writeSvg } from '#interchange';
import { renderPdf } from '#render';
import { checkSheet, PLEX_WIDTHS, type CheckContent, type Sheet } from '#sheets';
import { readPdf } from '../../test/support/read-pdf.js';
import { cornersOf, overlappingTexts, textsOf } from '../../test/support/sheet-geometry.js';
import { CHECK_DEFAULTS, checkContent, checkPattern } from './index.js';

const FAULTY = readFileSync(join(import.meta.dirname, '../../../examples/faulty-trouser.dxf'), 'latin1');
/** Nothing stands nearer to the edge of the paper: office printers leave up to 5 mm unprinted. */
const MARGIN_MM = 6;
const A3_MM = [420, 297];

const contentOf = (text: string): CheckContent =>
  checkContent(checkPattern(text, CHECK_DEFAULTS), { engine: 'forkline' });
const sheetOf = (content: CheckContent): Sheet => checkSheet(content, PLEX_WIDTHS);
const faulty = contentOf(FAULTY);

/** All that a file or a request may make long: names, findings, stated seams, pieces. */
function overfull(count = 60, times = 1): CheckContent {
  const long = 'Hosenbein vorne links mit angeschnittener Tasche und Beleg '.repeat(20);
  const seam = { ...faulty.seams[0], name: long, first: { ...faulty.seams[0].first, name: long } };
  return {
    ...faulty,
    name: long,
    identity: Array.from({ length: 12 }, (_, i) => ({ label: `Rules ${i}`, value: long.slice(0, 64) })),
    eases: [long.slice(0, 200), long.slice(0, 200)],
    corrected: {
      moved: Array.from({ length: 40 }, () => ({
        operation: 'move point along',
        piece: 'front',
        part: long.slice(0, 60),
        byMm: 4,
      })),
      seams: Array.from({ length: 20 }, () => ({
        name: long,
        first: { beforeMm: 1000, afterMm: 1001 },
        second: { beforeMm: 1002, afterMm: 1001 },
      })),
    },
    pieces: Array.from({ length: count }, (_, i) => ({
      ...faulty.pieces[i % faulty.pieces.length],
      id: `P${i}`,
      cut: faulty.pieces[i % faulty.pieces.length].cut.map((curve) =>
        mapCurve(curve, (p) => scale(p, times)),
      ),
      name: `${i} ${long}`,
    })),
    seams: [...faulty.seams, ...Array.from({ length: 100 }, () => seam)],
    findings: Array.from({ length: 200 }, (_, i) => ({
      ...faulty.findings[0],
      number: i + 1,
      piece: `P${i % count}`,
    })),
  };
}

function expectOnPaper(sheet: Sheet): void {
  expect([sheet.widthMm, sheet.heightMm]).toEqual(A3_MM);
  const points = sheet.layers
    .flatMap(({ marks }) => marks)
    .flatMap((mark) =>
      mark.kind === 'text' ? cornersOf(mark) : mark.curves.flatMap(({ p0, p1 }) => [p0, p1]),
    );
  const [left, bottom, right, top] = points.reduce(
    ([l, b, r, t], { x, y }) => [Math.min(l, x), Math.min(b, y), Math.max(r, x), Math.max(t, y)],
    [Infinity, Infinity, -Infinity, -Infinity],
  );
  expect(Math.min(left, bottom, A3_MM[0] - right, A3_MM[1] - top)).toBeGreaterThanOrEqual(MARGIN_MM);
}

describe('the sheet of a check', () => {
  it.each<[string, CheckContent]>([
    ['a faulty trouser', faulty],
    ['a file of which nothing is known', contentOf('words')],
    ['more of everything than fits', overfull()],
    ['four hundred pieces of a hundred metres', overfull(400, 100)],
  ])('keeps every text and line of %s on the paper', (_, content) => {
    expectOnPaper(sheetOf(content));
  });

  it('keeps its texts clear of each other, but for the signs that lie over the drawing', () => {
    for (const content of [faulty, overfull()]) {
      const { layers, ...page } = sheetOf(content);
      expect(overlappingTexts({ ...page, layers: layers.filter(({ id }) => id !== 'signs') })).toEqual([]);
    }
  });

  it('draws pieces at the scale it says, in the PDF too', async () => {
    const sheet = sheetOf(faulty);
    const [, times] = /Pieces 1:(\d+)$/.exec(textsOf(sheet, 'notes')[0].text) ?? [];
    const pdf = await readPdf(await renderPdf([sheet], { title: sheet.title, creator: 'forkline' }));
    expect(pdf.pages.map(({ widthMm, heightMm }) => [widthMm, heightMm].map(Math.round))).toEqual([A3_MM]);
    // The extent of every cut line as the file has it, against paths of just that extent on the page.
    const drawn = pdf.pages[0].paths.map(({ points }) => extentOf(points.map(([x, y]) => ({ x, y }))));
    const pieces = readDxf(FAULTY).pattern?.pieces ?? [];
    expect(pieces.length).toBeGreaterThan(1);
    for (const { boundary } of pieces) {
      const [width, height] = extentOf(boundary?.points ?? []).map((mm) => mm / Number(times));
      expect(drawn.some(([w, h]) => Math.abs(w - width) < 0.02 && Math.abs(h - height) < 0.02)).toBe(true);
    }
  });

  it('tells what is off by form, and never by colour', () => {
    const svg = writeSvg(sheetOf(faulty));
    const colours = new Set(svg.match(/#[0-9a-f]{3,6}\b/gi));
    expect(colours.size).toBeGreaterThan(1);
    for (const colour of colours) {
      const [r, g, b] = colour.length === 4 ? [...colour.slice(1)] : (colour.slice(1).match(/../g) ?? []);
      expect([g, b]).toEqual([r, r]);
    }
    const all = withStates('off');
    const none = withStates('ok');
    // Broken where it is off and whole where it holds, a cross where it is off and a dot where it holds.
    expect(brokenStrokes(all)).toBeGreaterThan(brokenStrokes(none));
    expect(crosses(all)).toBeGreaterThan(crosses(none) + 10);
    // Levels of findings by the corners of their signs.
    const signs = (['info', 'warning', 'stop'] as const).map((level) => signCorners(level));
    expect(new Set(signs).size).toBe(3);
  });

  it('numbers on the drawing what it lists, and says how much it does not list', () => {
    const sheet = sheetOf(overfull());
    const listed = new Set(textsOf(sheet, 'tables').map(({ text }) => text));
    for (const { text } of textsOf(sheet, 'signs')) expect(listed.has(text)).toBe(true);
    expect([...listed].some((text) => /^\d+ more in the report/.test(text))).toBe(true);
  });

  it('gives each of two blocks of one name its own place, and each finding to its own', () => {
    const content = contentOf(FAULTY.replaceAll(/^FRONT(\r?)$/gm, 'BACK$1'));
    const sheet = sheetOf(content);
    const cuts = strokesOf({ ...sheet, layers: sheet.layers.filter(({ id }) => id === 'pieces') })
      .filter(({ stroke }) => stroke?.ink === 'grey')
      .map(({ curves }) => boxOf(curves.map(({ p0 }) => p0)));
    expect(cuts.length).toBe(content.pieces.length);
    for (const [i, a] of cuts.entries())
      for (const b of cuts.slice(i + 1))
        expect(a.left > b.right || b.left > a.right || a.bottom > b.top || b.bottom > a.top).toBe(true);
    const [worst] = content.findings;
    expect(worst.finding.message).toContain('centre back');
    expect(content.pieces.find(({ id }) => id === worst.piece)?.name).toBe('Back');
  });

  it('draws shapes without a unit to the room there is, the same in any unit', () => {
    const text = FAULTY.replace('Units:METRIC', 'Units:');
    const inMm = checkContent(checkPattern(text, CHECK_DEFAULTS), { engine: 'forkline' });
    const times = (factor: number): CheckContent => ({
      ...inMm,
      pieces: inMm.pieces.map((piece) => ({
        ...piece,
        cut: piece.cut.map((curve) => mapCurve(curve, (p) => scale(p, factor))),
        lines: [],
        notches: [],
        holes: [],
        grain: undefined,
      })),
    });
    for (const factor of [1 / 25.4, 1, 1000]) {
      const sheet = sheetOf(times(factor));
      expectOnPaper(sheet);
      const points = strokesOf({
        ...sheet,
        layers: sheet.layers.filter(({ id }) => id === 'pieces'),
      }).flatMap(({ curves }) => curves.map(({ p0 }) => p0));
      const { bottom, top } = boxOf(points);
      expect(top - bottom).toBeGreaterThan(150);
    }
  });

  it('is the same each time', () => {
    expect(writeSvg(sheetOf(contentOf(FAULTY)))).toBe(writeSvg(sheetOf(faulty)));
  });
});

function boxOf(points: readonly { readonly x: number; readonly y: number }[]) {
  const [xs, ys] = [points.map(({ x }) => x), points.map(({ y }) => y)];
  return {
    left: Math.min(...xs),
    right: Math.max(...xs),
    bottom: Math.min(...ys),
    top: Math.max(...ys),
  };
}

function extentOf(points: readonly { readonly x: number; readonly y: number }[]): [number, number] {
  const [xs, ys] = [points.map(({ x }) => x), points.map(({ y }) => y)];
  return [Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys)];
}

function withStates(state: 'ok' | 'off'): Sheet {
  return sheetOf({
    ...faulty,
    findings: [],
    pieces: faulty.pieces.map((piece) => ({
      ...piece,
      seams: piece.seams.map((seam) => ({ ...seam, state })),
    })),
    seams: faulty.seams.map((seam) => ({ ...seam, state })),
    corners: faulty.corners.map((corner) => ({ ...corner, state })),
  });
}

const strokesOf = (sheet: Sheet) =>
  sheet.layers.flatMap(({ marks }) => marks).flatMap((mark) => (mark.kind === 'path' ? [mark] : []));

const brokenStrokes = (sheet: Sheet): number =>
  strokesOf(sheet).filter(({ stroke }) => stroke?.dashMm !== undefined).length;

/** Two short lines that share their middle. */
const crosses = (sheet: Sheet): number =>
  strokesOf(sheet).filter(({ curves }) => {
    if (curves.length !== 2) return false;
    const [a, b] = curves.map((curve) => {
      const end = curve.kind === 'line' ? curve.p1 : curve.p3;
      return { x: (curve.p0.x + end.x) / 2, y: (curve.p0.y + end.y) / 2 };
    });
    return Math.hypot(a.x - b.x, a.y - b.y) < 0.01;
  }).length;

function signCorners(level: 'info' | 'warning' | 'stop'): string {
  const [first] = faulty.findings;
  const sheet = sheetOf({ ...faulty, findings: [{ ...first, finding: { ...first.finding, level } }] });
  const marks = sheet.layers.find(({ id }) => id === 'signs')?.marks ?? [];
  return marks
    .flatMap((mark) => (mark.kind === 'path' ? [`${mark.curves[0].kind}${mark.curves.length}`] : []))
    .join();
}
