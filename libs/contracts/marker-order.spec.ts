import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { canonicalJson, markerOrderJson, readMarkerOrder } from '#contracts';

const DRAFT = 'drf_01KAYR5T3M8Q2W4V6X7Y9Z0ABC';
const LEAST = { drafts: [{ draftId: DRAFT }], cloths: [{ name: 'denim', width: '150 cm' }] };

const codesOf = (json: unknown, secondsMax?: number): string[] => {
  const read = readMarkerOrder(json, secondsMax);
  return read.ok ? [] : read.problems.map(({ pointer, code }) => `${pointer} ${code}`);
};

/** Orders of every kind the contract takes, with as much left out as may be. */
function arbOrder(): fc.Arbitrary<unknown> {
  const optional = <T>(shape: { [K in keyof T]: fc.Arbitrary<T[K]> }) =>
    fc.record(shape, { requiredKeys: [] });
  const name = fc.constantFrom('denim', 'Köper 2', 'lining');
  const mm = (min: number, max: number) => fc.double({ min, max, noNaN: true });
  const rules = optional({
    use: fc.constantFrom('shell', 'fusible', 'pocketing'),
    selvedge: fc.oneof(mm(0, 500), fc.constant('1 cm')),
    endMargin: mm(0, 500),
    gap: mm(0, 100),
    nap: fc.constantFrom('free', 'per-garment', 'one-way'),
    layup: fc.constantFrom('single', 'folded', 'tubular'),
    lengthMax: mm(10, 500_000),
    endAllowance: mm(0, 500),
    repeatAlong: mm(1, 2000),
    repeatAcross: mm(1, 2000),
    pricePerMetre: mm(0, 100_000),
    turns: fc.array(mm(-360, 360), { minLength: 1, maxLength: 4 }),
    tilt: mm(0, 10),
    rolls: fc.array(fc.record({ name, length: fc.constantFrom('12 m', 8_000) }), { maxLength: 3 }),
    previous: fc.record({ length: mm(10, 500_000), garments: fc.integer({ min: 1, max: 500 }) }),
  });
  const draft = fc
    .tuple(
      optional({
        quantity: fc.integer({ min: 1, max: 100 }),
        reference: fc.constantFrom('order 1042', 'Bestellung 7 ü'),
        size: fc.constantFrom('38', '40 L'),
        cloths: optional({ shell: name, pocketing: name }),
      }),
    )
    .map(([rest]) => ({ draftId: DRAFT, ...rest }));
  const order = optional({
    seconds: mm(0.1, 3600),
    seed: fc.integer({ min: 0, max: 2 ** 31 - 1 }),
    searches: fc.integer({ min: 1, max: 8 }),
    startFrom: fc.constantFrom('mrk_01KAYRE6F7G8H9J0K1M2N3P4QR'),
    outputs: fc.array(fc.constantFrom('svg', 'pdf', 'sheet', 'dxf', 'plot'), { maxLength: 5 }),
    reference: fc.constantFrom('cut 17'),
    dated: fc.constantFrom('2026-03-02'),
  });
  return fc
    .tuple(fc.array(draft, { minLength: 1, maxLength: 4 }), name, rules, order)
    .map(([drafts, cloth, other, rest]) => ({
      drafts,
      cloths: [{ name: cloth, width: '150 cm', ...other }],
      ...rest,
    }));
}

describe('an order for a marker', () => {
  it('is understood with every default in its place', () => {
    expect(readMarkerOrder(LEAST)).toEqual({
      ok: true,
      value: {
        drafts: [{ draftId: DRAFT, quantity: 1 }],
        cloths: [{ name: 'denim', use: 'shell', widthMm: 1500 }],
        budget: { seconds: 10 },
        seed: 1,
        searches: 1,
        outputs: ['svg', 'pdf'],
      },
    });
    expect(readMarkerOrder({ ...LEAST, work: 5 })).toMatchObject({ value: { budget: { work: 5 } } });
    expect(readMarkerOrder(LEAST, 4)).toMatchObject({ value: { budget: { seconds: 4 } } });
  });

  it('is written out as an order that is understood the same', () => {
    fc.assert(
      fc.property(arbOrder(), (json) => {
        const read = readMarkerOrder(json);
        if (!read.ok) throw new Error(JSON.stringify(read.problems));
        const again = readMarkerOrder(JSON.parse(canonicalJson(markerOrderJson(read.value))));
        expect(again).toEqual(read);
      }),
    );
  });

  it.each<[unknown, string[]]>([
    [{}, ['/drafts MISSING', '/cloths MISSING']],
    [{ ...LEAST, drafts: [] }, ['/drafts TOO_FEW']],
    [{ ...LEAST, drafts: [{ draftId: DRAFT, quantity: 101 }] }, ['/drafts/0/quantity OUT_OF_RANGE']],
    [
      { ...LEAST, drafts: Array.from({ length: 6 }, () => ({ draftId: DRAFT, quantity: 100 })) },
      ['/drafts TOO_MANY'],
    ],
    [{ ...LEAST, cloths: [LEAST.cloths[0], LEAST.cloths[0]] }, ['/cloths/1/name CONFLICT']],
    [{ ...LEAST, seconds: 1, work: 1 }, ['/work CONFLICT']],
    [{ ...LEAST, seconds: 3601 }, ['/seconds OUT_OF_RANGE']],
    [{ ...LEAST, bodyId: 'bdy_1' }, ['/bodyId UNKNOWN_FIELD']],
    [null, [' WRONG_TYPE']],
  ])('%j is refused with its places', (json, codes) => {
    expect(codesOf(json)).toEqual(codes);
  });

  it('is held to what the shop may ask for', () => {
    expect(codesOf({ ...LEAST, seconds: 30 }, 30)).toEqual([]);
    expect(codesOf({ ...LEAST, seconds: 30.5 }, 30)).toEqual(['/seconds OUT_OF_RANGE']);
  });
});
