import type { ClothUse, CutPiece } from '#finishing';
import { planMarker, type Cloth, type Garment, type MarkerPiece, type MarkerProblem } from '#marker';
import type { Finding } from '#pattern';
import { layPiece, matchedPoint } from './lay-piece.js';
import type { ClothToCut, GarmentToLay, LayingOrder } from './laying-order.js';

/** An order grouped by cloth, every piece ready to be laid. */
export interface LayingPlan {
  readonly order: LayingOrder;
  /** One for each cloth that something is cut from. */
  readonly cloths: readonly PlannedCloth[];
  readonly findings: readonly Finding[];
}

export interface PlannedCloth {
  readonly cloth: ClothToCut;
  readonly onCloth: Cloth;
  readonly pieces: readonly MarkerPiece[];
  /** Garments that are cut from it, as the marker counts them. */
  readonly garments: readonly Garment[];
  /** Index in the order of each of them. */
  readonly ofOrder: readonly number[];
  /** The cut piece behind each piece id. */
  readonly cutPieces: ReadonlyMap<string, CutPiece>;
}

export type LayingAnswer =
  | { readonly ok: true; readonly plan: LayingPlan }
  | {
      readonly ok: false;
      /** invalid: the order contradicts itself. infeasible: it is clear, and this cloth cannot take it. */
      readonly why: 'invalid' | 'infeasible';
      /** Pointers are into the laying order. */
      readonly problems: readonly MarkerProblem[];
    };

/** More in one laying is a mistake or an attack; a cutting table takes a few dozen. */
const GARMENTS_MAX = 500;
const CLOTHS_MAX = 50;
const ROLLS_MAX = 200;

/**
 * Group the pieces of an order by cloth and make them ready to be laid, or say all that stands in the way.
 *
 * Shape   every piece goes on each cloth of its use: a waistband is cut from shell and from fusible. Pieces of a use that
 *         the order has no cloth for are left out, with a finding.
 * Cost    about 2 ms a piece.
 */
export function planLaying(order: LayingOrder): LayingAnswer {
  const problems = checkOrder(order);
  if (problems.length > 0) return { ok: false, why: 'invalid', problems };
  const findings: Finding[] = [];
  const cloths = order.cloths.flatMap((cloth, c) => {
    const planned = plannedCloth(order, cloth);
    if (planned.garments.length === 0) {
      findings.push(nothingToCut(cloth, c));
      return [];
    }
    return [{ c, planned }];
  });
  const refused = cloths.flatMap(({ c, planned }) => refusals(planned, c));
  if (refused.length > 0) {
    const why = refused.some((one) => one.why === 'invalid') ? 'invalid' : 'infeasible';
    return { ok: false, why, problems: refused.map(({ problem }) => problem) };
  }
  findings.push(...usesWithoutCloth(order), ...freeOfRepeat(cloths.map(({ planned }) => planned)));
  return { ok: true, plan: { order, cloths: cloths.map(({ planned }) => planned), findings } };
}

function checkOrder({ garments, cloths }: LayingOrder): MarkerProblem[] {
  return [
    ...counted('/garments', garments.length, GARMENTS_MAX, 'TOO_MANY_GARMENTS', 'split the order'),
    ...counted('/cloths', cloths.length, CLOTHS_MAX, 'TOO_MANY_CLOTHS', 'split the order'),
    ...repeated(
      garments.map(({ reference }) => reference),
      (g) => `/garments/${g}/reference`,
    ),
    ...repeated(
      cloths.map(({ name }) => name),
      (c) => `/cloths/${c}/name`,
    ),
    ...cloths.flatMap((cloth, c) => checkRolls(cloth, c)),
    ...garments.flatMap((garment, g) => checkChoice(garment, g, cloths)),
  ];
}

function counted(pointer: string, found: number, max: number, code: string, action: string): MarkerProblem[] {
  if (found > max) return [{ code, pointer, found, allowed: `at most ${max}`, action }];
  if (found > 0) return [];
  return [{ code: 'NOTHING_TO_LAY', pointer, found, allowed: `1 to ${max}`, action: 'name at least one' }];
}

function repeated(names: readonly string[], pointer: (index: number) => string): MarkerProblem[] {
  return names.flatMap((name, i) =>
    names.indexOf(name) === i
      ? []
      : [
          {
            code: 'NAME_TWICE',
            pointer: pointer(i),
            found: name,
            allowed: 'each name once',
            action: 'rename one, e.g. with a number behind it',
          },
        ],
  );
}

function checkRolls({ rolls, previous }: ClothToCut, c: number): MarkerProblem[] {
  const wrongRolls = (rolls ?? []).flatMap(({ lengthMm }, r) =>
    lengthMm > 0 && Number.isFinite(lengthMm)
      ? []
      : [notALength(`/cloths/${c}/rolls/${r}/lengthMm`, lengthMm)],
  );
  const tooMany =
    (rolls?.length ?? 1) >= 1 && (rolls?.length ?? 1) <= ROLLS_MAX
      ? []
      : counted(`/cloths/${c}/rolls`, rolls?.length ?? 0, ROLLS_MAX, 'TOO_MANY_ROLLS', 'split the order');
  const isComparable = previous === undefined || (previous.lengthMm > 0 && previous.garments >= 1);
  return [
    ...tooMany,
    ...wrongRolls,
    ...(isComparable ? [] : [notALength(`/cloths/${c}/previous`, previous.lengthMm)]),
  ];
}

function notALength(pointer: string, found: number): MarkerProblem {
  return {
    code: 'CLOTH_LENGTH',
    pointer,
    found,
    allowed: 'more than 0',
    action: 'give the length in mm, or leave it out',
  };
}

function checkChoice(garment: GarmentToLay, g: number, cloths: readonly ClothToCut[]): MarkerProblem[] {
  return usesOf(garment).flatMap((use) => {
    const fitting = cloths.filter((cloth) => cloth.use === use);
    const named = garment.cloths?.[use];
    if (named === undefined ? fitting.length <= 1 : fitting.some(({ name }) => name === named)) return [];
    return [
      {
        code: named === undefined ? 'CLOTH_NOT_NAMED' : 'CLOTH_UNKNOWN',
        pointer: `/garments/${g}/cloths/${use}`,
        found: named ?? '(nothing)',
        allowed:
          fitting.length === 0
            ? `a cloth of the order for ${use}`
            : fitting.map(({ name }) => name).join(', '),
        action: `say which cloth the ${use} pieces of this garment are cut from`,
      },
    ];
  });
}

function usesOf({ pieces }: GarmentToLay): ClothUse[] {
  return [...new Set(pieces.flatMap(({ cloth }) => cloth))];
}

function isCutFrom(garment: GarmentToLay, cloth: ClothToCut): boolean {
  return (garment.cloths?.[cloth.use] ?? cloth.name) === cloth.name;
}

function plannedCloth(order: LayingOrder, cloth: ClothToCut): PlannedCloth {
  const pieces: MarkerPiece[] = [];
  const garments: Garment[] = [];
  const ofOrder: number[] = [];
  const cutPieces = new Map<string, CutPiece>();
  order.garments.forEach((garment, g) => {
    const mine = isCutFrom(garment, cloth)
      ? garment.pieces.filter((piece) => piece.cloth.includes(cloth.use))
      : [];
    if (mine.length === 0) return;
    const wanted = mine.map((piece) => {
      const id = `${g + 1} ${piece.id}`;
      pieces.push(layPiece(piece, id, cloth));
      cutPieces.set(id, piece);
      return { piece: id, plain: piece.quantity.asDrawn, mirrored: piece.quantity.mirrored };
    });
    garments.push({ reference: garment.reference, pieces: wanted });
    ofOrder.push(g);
  });
  return { cloth, onCloth: onCloth(cloth), pieces, garments, ofOrder, cutPieces };
}

function onCloth(cloth: ClothToCut): Cloth {
  const { widthMm, selvedgeMm, endMarginMm, gapMm, nap, layup, repeatAlongMm, repeatAcrossMm } = cloth;
  const named = {
    selvedge: selvedgeMm,
    endMargin: endMarginMm,
    gap: gapMm,
    nap,
    layup,
    repeatAlong: repeatAlongMm,
    repeatAcross: repeatAcrossMm,
    pricePerMetre: cloth.pricePerMetre,
    endAllowance: cloth.endAllowanceMm,
  };
  const given = Object.fromEntries(Object.entries(named).filter(([, value]) => value !== undefined));
  return { width: widthMm, ...given };
}

const CLOTH_FIELDS: Readonly<Record<string, string>> = {
  width: 'widthMm',
  selvedge: 'selvedgeMm',
  endMargin: 'endMarginMm',
  gap: 'gapMm',
  repeatAlong: 'repeatAlongMm',
  repeatAcross: 'repeatAcrossMm',
  endAllowance: 'endAllowanceMm',
};

function refusals(
  planned: PlannedCloth,
  c: number,
): { readonly why: 'invalid' | 'infeasible'; readonly problem: MarkerProblem }[] {
  const { onCloth: cloth, pieces, garments, ofOrder } = planned;
  const answer = planMarker({ cloth, pieces, garments });
  if (answer.ok) return [];
  const garmentOf = new Map(
    garments.flatMap((garment, i) => garment.pieces.map(({ piece }) => [piece, ofOrder[i]] as const)),
  );
  return answer.problems.map((found) => {
    const [, list, index, field = ''] = found.pointer.split('/');
    const at: Record<string, () => string> = {
      cloth: () => `/cloths/${c}/${CLOTH_FIELDS[index] ?? index}`,
      pieces: () => {
        const { id } = pieces[Number(index)];
        const garment = garmentOf.get(id) ?? 0;
        return field === 'turns' || field === 'tilt'
          ? `/cloths/${c}/${field === 'turns' ? 'turnsDegrees' : 'tiltDegrees'}`
          : `/garments/${garment}/pieces/${planned.cutPieces.get(String(id))?.id ?? ''}`;
      },
      garments: () => (index === undefined ? '/garments' : `/garments/${ofOrder[Number(index)]}`),
    };
    return { why: answer.why, problem: { ...found, pointer: at[list]() } };
  });
}

function nothingToCut({ name, use }: ClothToCut, c: number): Finding {
  return {
    code: 'CLOTH_NOT_NEEDED',
    level: 'info',
    message: `No piece of the order is cut from ${name} (${use}).`,
    action: 'Leave it out, or check the cloths of the garments.',
    pointer: `/cloths/${c}`,
  };
}

function usesWithoutCloth({ garments, cloths }: LayingOrder): Finding[] {
  const missing = new Map<ClothUse, string[]>();
  for (const garment of garments) {
    for (const use of usesOf(garment)) {
      if (cloths.some((cloth) => cloth.use === use)) continue;
      missing.set(use, [...(missing.get(use) ?? []), garment.reference]);
    }
  }
  return [...missing].map(([use, references]) => ({
    code: 'NO_CLOTH_FOR_USE',
    level: 'warning' as const,
    message: `The order has no ${use} cloth: the ${use} pieces of ${inWords(references)} are not laid.`,
    action: `Name a cloth for ${use}, or cut these pieces by hand.`,
    numbers: { garments: references.length },
  }));
}

const NAMED_MAX = 5;

function inWords(references: readonly string[]): string {
  const named = references.slice(0, NAMED_MAX).join(', ');
  return references.length <= NAMED_MAX ? named : `${named} and ${references.length - NAMED_MAX} more`;
}

function freeOfRepeat(cloths: readonly PlannedCloth[]): Finding[] {
  return cloths.flatMap(({ cloth, cutPieces }) => {
    if ((cloth.repeatAlongMm ?? 0) === 0 && (cloth.repeatAcrossMm ?? 0) === 0) return [];
    const free = [
      ...new Set([...cutPieces.values()].filter((p) => matchedPoint(p) === undefined).map((p) => p.name)),
    ];
    if (free.length === 0) return [];
    return [
      {
        code: 'LAID_OFF_THE_REPEAT',
        level: 'info' as const,
        message: `On ${cloth.name}, ${free.join(', ')} are not matched to the repeat; fronts and backs are.`,
        action: 'Match them by eye, or cut them on plain cloth.',
      },
    ];
  });
}
