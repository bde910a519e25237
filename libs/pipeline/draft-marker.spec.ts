import { describe, expect, it } from '@jest/globals';
import { readDraftRequest } from '#contracts';
import { certify, type MarkerRequest, type Placement } from '#marker';
import { WORKED_BODY } from '../../test/support/worked-body.js';
import { produceDraft, type DraftOutcome } from './index.js';

const PROVENANCE = { engine: 'forkline test', requestHash: '0'.repeat(64) };
const CLOTH = { name: 'denim', width: '150 cm', gap: 3, selvedge: '1 cm', nap: 'one-way', pricePerMetre: 20 };

function produced(cloth: object, outputs: readonly string[] = ['marker']): DraftOutcome {
  const { ref, sex, measures } = WORKED_BODY;
  const alterations = [{ use: 'drop-crotch' }];
  const read = readDraftRequest({
    body: { ref, sex, measures },
    block: 'from-body',
    alterations,
    reference: 'order 1042',
    outputs,
    cloth,
  });
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return produceDraft(read.request, PROVENANCE);
}

interface Written {
  readonly markers: readonly {
    readonly rules: MarkerRequest['cloth'];
    readonly work: number;
    readonly length: number;
    readonly figures: { readonly cost: number };
    readonly pieces: MarkerRequest['pieces'];
    readonly placements: readonly (Omit<Placement, 'garment'> & { readonly garment: number })[];
  }[];
}

function textOf(outcome: DraftOutcome, name: string): string {
  return outcome.files.find((file) => file.name === name)?.text ?? 'null';
}

describe('a draft that asks for its own marker', () => {
  const outcome = produced(CLOTH);
  const [marker] = (JSON.parse(textOf(outcome, 'marker.json')) as Written).markers;
  const { cutPieces, pages } = JSON.parse(textOf(outcome, 'draft.json')) as {
    cutPieces: { id: string; cloth: string[]; quantity: { asDrawn: number; mirrored: number } }[];
    pages: Record<string, number>;
  };

  it('gets it as data, drawing and pages', () => {
    expect(outcome.files.map(({ name }) => name)).toEqual(
      expect.arrayContaining(['marker.json', 'marker.svg']),
    );
    expect(outcome.prints.map(({ name }) => name)).toEqual(['marker.pdf']);
    expect(pages).toEqual({ 'marker.pdf': 1 });
    expect(outcome.answer).toBe('ready');
  });

  // The certificate is a module of its own, in exact integers; the demand comes from draft.json.
  it('holds every piece of shell of the draft, and passes the certificate as written', () => {
    const shell = cutPieces.filter(({ cloth }) => cloth.includes('shell'));
    const wanted = shell.map(({ id, quantity }) => ({
      piece: `1 ${id}`,
      plain: quantity.asDrawn,
      mirrored: quantity.mirrored,
    }));
    const { rules, pieces, placements, length } = marker;
    const request = { cloth: rules, pieces, garments: [{ reference: 'order 1042', pieces: wanted }] };
    const laid = placements.map((placement) => ({ ...placement, garment: placement.garment - 1 }));
    expect(certify(request, length, laid, { repeatTolerance: 0.01, faultsMax: 5 })).toEqual([]);
    expect(rules).toMatchObject({ width: 1500, gap: 3, selvedge: 10, nap: 'one-way' });
    expect(marker.figures.cost).toBeCloseTo((20 * length) / 1000, 9);
  });

  it('gets the same bytes each time: it is laid by work', () => {
    const again = produced(CLOTH);
    expect(textOf(again, 'marker.json')).toBe(textOf(outcome, 'marker.json'));
    expect(textOf(again, 'marker.svg')).toBe(textOf(outcome, 'marker.svg'));
  });

  it('says when the cloth cannot take it, and gives the rest', () => {
    const narrow = produced({ ...CLOTH, width: '30 cm' }, ['marker', 'dxf']);
    expect(narrow.files.map(({ name }) => name)).not.toContain('marker.json');
    expect(narrow.files.map(({ name }) => name)).toContain('pattern.dxf');
    expect(narrow.findings).toContainEqual(
      expect.objectContaining({ code: 'MARKER_PIECE_TOO_WIDE', level: 'warning', pointer: '/cloth' }),
    );
  });
});
