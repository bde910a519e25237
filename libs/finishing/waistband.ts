import { at, line } from '#geometry';
import { seamLengthMm, waistGirthMm, type Block } from '#pattern';
import type { FinishRules } from './finish-rules.js';
import type { SideNotch, SmallPiecePlan } from './small-piece.js';
import { stripSides } from './small-piece.js';

/** The arrow takes this part of a strip's length. */
const GRAIN = [0.3, 0.7] as const;

/** A longer strip is cut in two, so that it lies on a sheet of A0 with its allowances; a design choice. */
const STRIP_MM_MAX = 1100;

/**
 * The waistband or elastic casing, measured from the trued waist seams it is sewn to.
 *
 * Shape     a strip along the warp, folded along its middle: as long as the waist and the underlap, twice the finished
 *           height wide. Its left edge carries the notches: from the underlap round the body, centre front, side,
 *           centre back, side, centre front. A casing has no underlap and is joined at the centre back. Longer than
 *           1,100 mm it comes in two strips that meet at the centre back, and a casing's also at the centre front.
 * Accuracy  lengths within `rules.accuracy.seamMm`.
 * Edges     a block that came with a band gets that band: places along it keep their share, the rest is eased in.
 */
export function waistbandPlans(block: Block, rules: FinishRules): SmallPiecePlan[] {
  const { finish, underlapMm } = rules.waist;
  if (finish === 'none') return [];
  const { seamMm: toleranceMm } = rules.accuracy;
  const girthMm = waistGirthMm(block, toleranceMm);
  const share = finish === 'waistband' && block.waistbandMm !== undefined ? block.waistbandMm / girthMm : 1;
  const frontMm = share * seamLengthMm(block.front, 'waist', toleranceMm);
  const backMm = share * seamLengthMm(block.back, 'waist', toleranceMm);
  const lengthMm = 2 * (frontMm + backMm) + (finish === 'waistband' ? underlapMm : 0);
  const isLong = lengthMm > STRIP_MM_MAX;
  const strips =
    finish === 'waistband'
      ? bandStrips(underlapMm, frontMm, backMm)
      : casingStrips(casingName(block), frontMm, backMm);
  const cut = isLong
    ? strips
    : [joinedStrip(finish === 'waistband' ? 'Waistband' : casingName(block), strips)];
  return cut.map((strip, i) => planOf(strip, isLong ? `${finish}-${i + 1}` : finish, rules));
}

/** A strip from its lower end, with the places along it. */
interface Strip {
  readonly name: string;
  readonly lengthMm: number;
  readonly notches: readonly (readonly [name: string, fromStartMm: number])[];
  /** What the seam at its upper end is called as a notch where two strips are one. */
  readonly endName: string;
}

function bandStrips(underlapMm: number, frontMm: number, backMm: number): Strip[] {
  return [
    {
      name: 'Waistband with underlap',
      lengthMm: underlapMm + frontMm + backMm,
      notches: [
        ['centre front', underlapMm],
        ['side', underlapMm + frontMm],
      ],
      endName: 'centre back',
    },
    {
      name: 'Waistband without underlap',
      lengthMm: backMm + frontMm,
      notches: [['side', backMm]],
      endName: 'centre front',
    },
  ];
}

/** As the alteration that added it calls it. */
function casingName({ added = [] }: Block): string {
  return added.find(({ sewnTo }) => sewnTo === 'waist')?.name ?? 'Elastic casing';
}

function casingStrips(name: string, frontMm: number, backMm: number): Strip[] {
  return [
    {
      name: `${name}, first half`,
      lengthMm: backMm + frontMm,
      notches: [['side', backMm]],
      endName: 'centre front',
    },
    {
      name: `${name}, second half`,
      lengthMm: frontMm + backMm,
      notches: [['side', frontMm]],
      endName: 'centre back',
    },
  ];
}

function joinedStrip(name: string, [first, second]: readonly Strip[]): Strip {
  const notches = [
    ...first.notches,
    [first.endName, first.lengthMm] as const,
    ...second.notches.map(([each, mm]) => [each, first.lengthMm + mm] as const),
  ];
  return { name, lengthMm: first.lengthMm + second.lengthMm, notches, endName: second.endName };
}

function planOf({ name, lengthMm, notches }: Strip, id: string, rules: FinishRules): SmallPiecePlan {
  const { finish, heightMm } = rules.waist;
  const names = ['waist', 'end', 'waist inside', 'end'] as const;
  return {
    id,
    name,
    sides: stripSides(2 * heightMm, lengthMm, names, rules.allowances.smallPiecesMm),
    notches: notches
      .filter(([, fromStartMm]) => fromStartMm > 0)
      .map(([each, fromStartMm]): SideNotch => ({ name: each, side: 0, fromStartMm })),
    lines: [{ role: 'fold', curves: [line(at(heightMm, 0), at(heightMm, lengthMm))] }],
    grain: [at(heightMm / 2, GRAIN[0] * lengthMm), at(heightMm / 2, GRAIN[1] * lengthMm)],
    quantity: { asDrawn: 1, mirrored: 0 },
    cloth: finish === 'waistband' ? ['shell', 'fusible'] : ['shell'],
  };
}
