import { describe, expect, it } from '@jest/globals';
import { cutPattern } from '../../test/support/cut-patterns.js';
import { WORKED_BODY } from '../../test/support/worked-body.js';
import type { ClothOrder, DraftOrder } from './draft-order.js';
import { markerStage } from './marker-stage.js';

const { pieces } = cutPattern(WORKED_BODY, 0.5);
const PROVENANCE = { engine: 'forkline test', requestHash: 'a'.repeat(64) };

interface Written {
  readonly markers: readonly {
    readonly length: number;
    readonly rules: Readonly<Record<string, unknown>>;
    readonly figures: { readonly lowerBoundByPiece: number; readonly cost?: number };
    readonly placements: readonly { readonly name: string }[];
  }[];
}

describe('markerStage', () => {
  it('lays the shell pieces on the cloth of the order, the same every time', () => {
    const order = orderOn({ widthMm: 1400, nap: 'one-way', pricePerMetre: 30 });
    const [first, second] = [0, 1].map(() => markerStage(order, PROVENANCE, pieces));
    expect(first.files).toEqual(second.files);
    expect(first.files.map(({ name }) => name)).toEqual(['marker.json', 'marker.svg']);
    expect(first.prints.map(({ name, sheets }) => [name, sheets.length])).toEqual([['marker.pdf', 1]]);
    expect(first.findings).toEqual([]);
    const [marker] = (JSON.parse(first.files[0].text) as Written).markers;
    expect(marker.rules).toMatchObject({ width: 1400, nap: 'one-way' });
    const shell = pieces.filter(({ cloth }) => cloth.includes('shell'));
    expect(marker.placements).toHaveLength(
      shell.reduce((sum, { quantity }) => sum + quantity.asDrawn + quantity.mirrored, 0),
    );
    expect(marker.figures.cost).toBeCloseTo((30 * marker.length) / 1000, 9);
    // Two fronts and two backs of 1.1 m: well laid they take less than two and a half lengths.
    expect(marker.length).toBeLessThan(2.5 * marker.figures.lowerBoundByPiece);
  });

  it('says which width it took when the order has none', () => {
    expect(markerStage(orderOn({}), PROVENANCE, pieces).findings.map(({ code }) => code)).toEqual([
      'CLOTH_WIDTH_ASSUMED',
    ]);
  });

  it('says why nothing was laid on cloth that is too narrow', () => {
    const { files, findings } = markerStage(orderOn({ widthMm: 300 }), PROVENANCE, pieces);
    expect(files).toEqual([]);
    expect(findings.every(({ code, level }) => code === 'MARKER_PIECE_TOO_WIDE' && level === 'warning')).toBe(
      true,
    );
    expect(findings.length).toBeGreaterThan(0);
  });
});

function orderOn(cloth: ClothOrder): DraftOrder {
  return {
    body: WORKED_BODY,
    block: 'from-body',
    ease: { name: 'regular', overrides: {} },
    alterations: [],
    outputs: ['marker'],
    cloth,
    reference: 'order 1042',
  };
}
