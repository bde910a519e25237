import { describe, expect, it } from '@jest/globals';
import { distance, type Point } from '#geometry';
import { cutPattern } from '../../test/support/cut-patterns.js';
import { WORKED_BODY } from '../../test/support/worked-body.js';
import {
  DXF_LAYERS,
  readDxf,
  sevenBit,
  writeDxf,
  type DxfOptions,
  type ForeignLine,
  type ForeignPattern,
} from './index.js';

const pattern = cutPattern(WORKED_BODY, 0.5);
const ASTM: DxfOptions = { profile: 'astm', units: 'metric' };

function written(options: DxfOptions = ASTM, styleName = 'order 1042'): string {
  return writeDxf(
    {
      styleName,
      author: 'forkline;pattern;test',
      sampleSize: 'MTM',
      dated: '2026-04-01',
      material: 'denim',
      pieces: pattern.pieces,
    },
    options,
  );
}

describe.each<[string, DxfOptions, number]>([
  ['metric', ASTM, 0.0072],
  ['english', { profile: 'astm', units: 'english' }, 0.0019],
])('a %s DXF read back', (_, options, roundingMm) => {
  const read = readBack(written(options));

  it('has every piece with its cut line, to the rounding of its decimals', () => {
    expect(read.pieces.map(({ block }) => block)).toEqual(pattern.pieces.map(({ id }) => id.toUpperCase()));
    for (const [i, piece] of pattern.pieces.entries()) {
      expect(read.pieces[i].boundary?.points).toHaveLength(piece.cut.length);
      for (const [k, { at }] of piece.cut.entries())
        expect(distance(at, pointsOf(read.pieces[i].boundary)[k])).toBeLessThan(roundingMm);
    }
  });

  it('has notches, drill holes, grain and quantities', () => {
    for (const [i, piece] of pattern.pieces.entries()) {
      const { notches, drillHoles, grain, texts } = read.pieces[i];
      expect(notches).toHaveLength(piece.notches.length);
      for (const [k, notch] of piece.notches.entries()) {
        expect(distance(notch.at, notches[k].at)).toBeLessThan(roundingMm);
        expect(Math.abs(notch.depthMm - notches[k].depthMm)).toBeLessThan(roundingMm);
        const angle = ((notches[k].angleDeg ?? Number.NaN) * Math.PI) / 180;
        expect(Math.cos(angle) * notch.inwards.x + Math.sin(angle) * notch.inwards.y).toBeGreaterThan(
          1 - 1e-6,
        );
      }
      expect(drillHoles).toHaveLength(piece.drillHoles.length);
      expect(grain?.map((p, end) => distance(p, piece.grain[end]) < roundingMm)).toEqual([true, true]);
      expect(texts['Quantity']).toBe(`${piece.quantity.asDrawn},${piece.quantity.mirrored}`);
      expect(texts['Piece Name']).toBe(piece.name);
    }
  });
});

// Rules of ASTM D6673-10 and of what reads everywhere, as quoted beside each; the standard itself was read in
// secondary sources.
describe('a DXF by the rules of ASTM D6673', () => {
  const text = written();
  const read = readBack(text);
  const rows = text.split('\r\n');

  it('is 7-bit text in lines that end with CR LF (text values are 7-bit)', () => {
    expect(/^[\x20-\x7e\r\n]*$/.test(text)).toBe(true);
    expect(rows.filter((row) => row.includes('\n'))).toEqual([]);
    expect(rows.at(-1)).toBe('');
  });

  it('has an empty header, blocks and entities, and nothing else (minimal release 12)', () => {
    const sections = rows.flatMap((row, i) => (row === 'SECTION' ? [rows[i + 2]] : []));
    expect(sections).toEqual(['HEADER', 'BLOCKS', 'ENTITIES']);
    for (const word of ['LWPOLYLINE', 'SPLINE', '$MODEL_SPACE', 'TABLES']) expect(rows).not.toContain(word);
  });

  it('has one block and one insert a piece, named in capitals, digits and hyphens', () => {
    const names = rows.flatMap((row, i) => (row === 'BLOCK' ? [rows[i + 4]] : []));
    const inserts = rows.flatMap((row, i) => (row === 'INSERT' ? [rows[i + 4]] : []));
    expect(inserts).toEqual(names);
    for (const name of names) expect(name).toMatch(/^[A-Z0-9_-]+$/);
  });

  it('says the style once, with the texts that have to be there even when blank', () => {
    for (const name of ['Style Name', 'Author', 'Sample Size', 'Grade Rule Table', 'Units'])
      expect(Object.keys(read.texts)).toContain(name);
    // dd-mm-yyyy.
    expect(read.texts['Creation Date']).toBe('01-04-2026');
    expect(read.texts['Units']).toBe('METRIC');
    expect(Number(read.texts['Curve Tolerance'])).toBeGreaterThan(0);
  });

  it('closes every boundary by flag and by its last vertex', () => {
    const starts = rows.flatMap((row, i) => (row === 'POLYLINE' && rows[i + 2] === '1' ? [i] : []));
    expect(starts).toHaveLength(pattern.pieces.length);
    for (const start of starts) {
      expect(rows.slice(start + 5, start + 7)).toEqual(['70', '1']);
      const end = rows.indexOf('SEQEND', start);
      const first = rows.slice(start + 11, start + 15);
      expect(rows.slice(end - 5, end - 1)).toEqual(first);
    }
  });

  it('has every vertex of layers 1, 8 and 14 as a turn or a curve point, on layer 2 or 3', () => {
    for (const piece of read.pieces) {
      const points = [...piece.turnPoints, ...piece.curvePoints];
      const vertices = [piece.boundary, ...piece.sewLines, ...piece.internalLines].flatMap(pointsOf);
      expect(points).toHaveLength(vertices.length);
      const known = new Set(points.map(key));
      for (const vertex of vertices) expect(known.has(key(vertex))).toBe(true);
    }
  });

  it('puts the corners of a rectangle on layer 2 and none on layer 3', () => {
    const band = read.pieces.find(({ block }) => block === 'WAISTBAND');
    expect(band?.boundary?.points).toHaveLength(4);
    expect(band?.curvePoints).toEqual([]);
  });

  it('puts the grain on layer 7 as a line, never as a polyline', () => {
    const polylines = rows.flatMap((row, i) => (row === 'POLYLINE' ? [Number(rows[i + 2])] : []));
    expect(polylines).not.toContain(DXF_LAYERS.grain);
    expect(polylines).not.toContain(DXF_LAYERS.drillHoles);
    for (const { grain } of read.pieces) expect(grain).toBeDefined();
  });

  it('writes validation curves 84 and 87 for every piece, 85 where an inner line is curved', () => {
    for (const piece of read.pieces) {
      const validated = piece.validation.map(({ layer }) => layer);
      expect(validated).toContain(DXF_LAYERS.validatedBoundary);
      expect(validated).toContain(DXF_LAYERS.validatedSewLines);
    }
    const front = read.pieces.find(({ block }) => block === 'FRONT');
    expect(front?.validation.map(({ layer }) => layer)).toContain(DXF_LAYERS.validatedInternal);
  });

  it('leaves out what AAMA-292 did not have', () => {
    const aama = written({ profile: 'aama', units: 'metric' });
    expect(aama).not.toContain('D 6673');
    expect(aama).not.toContain('Material:');
    for (const { validation } of readBack(aama).pieces) expect(validation).toEqual([]);
  });

  it('spells a name in ASCII, in at most 20 characters', () => {
    const name = readBack(written(ASTM, 'Größe 38 für Łukasz, Straße')).texts['Style Name'];
    expect(name).toBe('Grosse 38 fur Lukasz');
  });
});

describe('sevenBit', () => {
  it.each([
    ['Ærø', 'AEro'],
    ['naïve · 3 × 4', 'naive - 3 x 4'],
    ['日', '?'],
  ])('spells %s as %s', (text, expected) => {
    expect(sevenBit(text)).toBe(expected);
  });
});

/** A file that is read whole, without a word. */
function readBack(text: string): ForeignPattern {
  const { pattern, problems, unread } = readDxf(text);
  expect([problems, unread]).toEqual([[], []]);
  if (pattern === undefined) throw new Error('no pattern');
  return pattern;
}

function pointsOf(line: ForeignLine | undefined): readonly Point[] {
  return line?.points ?? [];
}

function key({ x, y }: Point): string {
  return `${x.toFixed(3)} ${y.toFixed(3)}`;
}
