import { quadratureLength } from '#geometry';
import { inMm, type GivenNotch } from '#pattern';
import type { CheckSettings } from './check-settings.js';
import { PRACTICE, type Found } from './check-report.js';
import type { Leg, NamedNotches, SetNotch } from './leg-block.js';

type Seam = 'inseam' | 'outseam';

/** Two notches, or groups of them, that are sewn onto each other. */
export interface SignPair {
  readonly seam: Seam;
  /** From the hem along the seam. */
  readonly frontMm: number;
  readonly backMm: number;
}

interface Walked {
  readonly set: SetNotch;
  readonly fromHemMm: number;
}

/** Notches nearer than this to each other are one sign: one for the front, two for the back. */
const SIGN_MM = 12;
/** Signs further apart than this are no partners. */
const PARTNER_MM = 30;

/** Partners of both legs' seams under one name, and what is wrong with them. */
export function walkNotches(
  front: Leg,
  back: Leg,
  settings: CheckSettings,
): { readonly names: NamedNotches; readonly pairs: readonly SignPair[]; readonly found: Found[] } {
  const names = { front: [] as GivenNotch[], back: [] as GivenNotch[] };
  const paired: SignPair[] = [];
  const found: Found[] = [];
  for (const seam of ['inseam', 'outseam'] as const) {
    const fronts = signs(walked(front, seam));
    const backs = signs(walked(back, seam));
    const pairs = partners(fronts, backs);
    for (const [k, [a, b]] of pairs.entries()) {
      const name = `${seam} ${k + 1}`;
      names.front.push(given(a[0].set, name));
      names.back.push(given(b[0].set, name));
      const { frontFromHemMm, backFromHemMm } = worstOf(a, b);
      paired.push({ seam, frontMm: frontFromHemMm, backMm: backFromHemMm });
      found.push(...drifted(front, back, seam, a, b, settings));
    }
    const lonely = [
      ...fronts.filter((sign) => !pairs.some(([a]) => a === sign)).map((sign) => alone(front, seam, sign)),
      ...backs.filter((sign) => !pairs.some(([, b]) => b === sign)).map((sign) => alone(back, seam, sign)),
    ];
    found.push(...lonely);
  }
  return { names, pairs: paired, found };
}

function given({ notch, foot }: SetNotch, name: string): GivenNotch {
  return { edge: foot.index, fromStartMm: foot.fromStartMm, kind: notch.shape === 'v' ? 'v' : 'slit', name };
}

/** Notches of one seam by their distance from the hem along it. */
export function walked({ reading: { curves }, roles, notches }: Leg, seam: Seam): Walked[] {
  const of = curves.map((curve, i) => ({ i, mm: roles[i] === seam ? quadratureLength(curve) : 0 }));
  const totalMm = of.reduce((sum, { mm }) => sum + mm, 0);
  const start =
    of.find(({ i }) => roles[i] === seam && roles[(i + roles.length - 1) % roles.length] !== seam)?.i ?? 0;
  return notches
    .filter(({ role }) => role === seam)
    .map((set) => {
      let before = 0;
      for (let i = start, step = 0; i !== set.foot.index && step < of.length; i = (i + 1) % of.length, step++)
        before += of[i].mm;
      const along = before + set.foot.fromStartMm;
      return { set, fromHemMm: seam === 'outseam' ? along : totalMm - along };
    })
    .sort((a, b) => a.fromHemMm - b.fromHemMm);
}

function signs(notches: readonly Walked[]): Walked[][] {
  const groups: Walked[][] = [];
  for (const each of notches) {
    const last = groups.at(-1);
    const previous = last?.at(-1);
    if (last !== undefined && previous !== undefined && each.fromHemMm - previous.fromHemMm <= SIGN_MM)
      last.push(each);
    else groups.push([each]);
  }
  return groups;
}

function middleMm(sign: readonly Walked[]): number {
  return (sign[0].fromHemMm + sign[sign.length - 1].fromHemMm) / 2;
}

/** Pairs that are nearest to each other first; none is used twice, and none crosses another. */
function partners(
  fronts: readonly Walked[][],
  backs: readonly Walked[][],
): (readonly [Walked[], Walked[]])[] {
  const all = fronts.flatMap((a) => backs.map((b) => ({ a, b, apart: Math.abs(middleMm(a) - middleMm(b)) })));
  const taken = new Set<Walked[]>();
  return all
    .filter(({ apart }) => apart <= PARTNER_MM)
    .sort((x, y) => x.apart - y.apart)
    .flatMap(({ a, b }) => {
      if (taken.has(a) || taken.has(b)) return [];
      taken.add(a);
      taken.add(b);
      return [[a, b] as const];
    })
    .sort(([a], [b]) => middleMm(a) - middleMm(b));
}

/** Of two signs that are partners, the two notches that lie furthest off each other. */
function worstOf(
  a: readonly Walked[],
  b: readonly Walked[],
): { readonly frontFromHemMm: number; readonly backFromHemMm: number; readonly at: Walked } {
  const pairs =
    a.length === b.length
      ? a.map((each, i) => ({ frontFromHemMm: each.fromHemMm, backFromHemMm: b[i].fromHemMm, at: b[i] }))
      : [{ frontFromHemMm: middleMm(a), backFromHemMm: middleMm(b), at: b[0] }];
  const off = (pair: (typeof pairs)[number]): number => Math.abs(pair.backFromHemMm - pair.frontFromHemMm);
  return pairs.reduce((most, each) => (off(each) > off(most) ? each : most));
}

function drifted(
  front: Leg,
  back: Leg,
  seam: Seam,
  a: readonly Walked[],
  b: readonly Walked[],
  { truing }: CheckSettings,
): Found[] {
  const { frontFromHemMm, backFromHemMm, at } = worstOf(a, b);
  const differenceMm = backFromHemMm - frontFromHemMm;
  if (Math.abs(differenceMm) <= truing.notchMm) return [];
  const frontPiece = front.reading.outline.piece;
  const piece = back.reading.outline.piece;
  return [
    {
      code: 'NOTCH_OFF',
      level: 'warning',
      message: `The notch of ${piece.name} at ${inMm(backFromHemMm)} along the ${seam} lies ${inMm(Math.abs(differenceMm))} ${differenceMm > 0 ? 'above' : 'below'} its partner on ${frontPiece.name}.`,
      action: 'Set both at the same seam distance from the hem.',
      place: { piece: piece.block, part: seam, at: at.set.notch.at, line: at.set.notch.line },
      numbers: { frontFromHemMm, backFromHemMm, differenceMm },
      tolerance: { value: truing.notchMm, unit: 'mm' },
      basis: PRACTICE,
    },
  ];
}

function alone(leg: Leg, seam: Seam, sign: readonly Walked[]): Found {
  const { piece } = leg.reading.outline;
  const [first] = sign;
  return {
    code: 'NOTCH_WITHOUT_PARTNER',
    level: 'warning',
    message: `The notch of ${piece.name} at ${inMm(first.fromHemMm)} from the hem along the ${seam} has no partner on the ${leg.role === 'front' ? 'back' : 'front'}.`,
    action: 'Set its partner at the same seam distance from the hem, or leave it out.',
    place: { piece: piece.block, part: seam, at: first.set.notch.at, line: first.set.notch.line },
    numbers: { fromHemMm: first.fromHemMm },
    basis: PRACTICE,
  };
}
