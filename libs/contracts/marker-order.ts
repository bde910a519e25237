import type { z } from 'zod';
import type { Json } from './canonical-json.js';
import { DATE, fields, line, list, number, oneOf, whole } from './field.js';
import { issuesToProblems, toProblem } from './issues-to-problems.js';
import { limitProblems } from './json-limits.js';
import { CLOTH_LENGTH, CLOTH_RULES, TURN_RULES } from './marker-request.js';
import { atMost, type Parsed, type Problem } from './problem.js';
import { idOf } from './queries.js';

export const CLOTH_USES = ['shell', 'fusible', 'pocketing'] as const;
export type ClothUse = (typeof CLOTH_USES)[number];

/** svg, pdf: to scale. sheet: PDF at true size. dxf, plot: for a cutter and a plotter. marker.json is always written. */
export const MARKER_OUTPUTS = ['svg', 'pdf', 'sheet', 'dxf', 'plot'] as const;
const USUAL_OUTPUTS: readonly (typeof MARKER_OUTPUTS)[number][] = ['svg', 'pdf'];

export interface DraftOnMarker {
  readonly draftId: string;
  readonly quantity: number;
  /** What the garment is called on the marker; the draft's own reference when left out. */
  readonly reference?: string;
  readonly size?: string;
  /** Which cloth it is cut from for each use, where the order has several. */
  readonly cloths?: Readonly<Partial<Record<ClothUse, string>>>;
}

/** A cloth as it is understood; lengths in mm, angles in degrees. */
export interface ClothOfMarker {
  readonly name: string;
  readonly use: ClothUse;
  readonly widthMm: number;
  readonly selvedgeMm?: number;
  readonly endMarginMm?: number;
  readonly gapMm?: number;
  readonly nap?: 'free' | 'per-garment' | 'one-way';
  readonly layup?: 'single' | 'folded' | 'tubular';
  readonly turnsDegrees?: readonly number[];
  readonly tiltDegrees?: number;
  readonly repeatAlongMm?: number;
  readonly repeatAcrossMm?: number;
  readonly markerLengthMaxMm?: number;
  readonly rolls?: readonly { readonly name: string; readonly lengthMm: number }[];
  readonly pricePerMetre?: number;
  readonly endAllowanceMm?: number;
  readonly previous?: { readonly lengthMm: number; readonly garments: number };
}

/** How long to search: by the clock, or by moves a piece, which gives the same marker each time. */
export type MarkerBudget = { readonly seconds: number } | { readonly work: number };

/** Drafts to be laid together as it is understood. */
export interface MarkerOrder {
  readonly reference?: string;
  readonly drafts: readonly DraftOnMarker[];
  readonly cloths: readonly ClothOfMarker[];
  readonly budget: MarkerBudget;
  readonly seed: number;
  /** Independent searches, each on its own thread or machine when one is free; the best is kept. */
  readonly searches: number;
  /** Id of an earlier marker that the search begins from. */
  readonly startFrom?: string;
  readonly outputs: readonly (typeof MARKER_OUTPUTS)[number][];
  /** The only date that files carry, as YYYY-MM-DD. */
  readonly dated?: string;
}

/** More garments than lie on any table are a slip. Design choices. */
const DRAFTS_MAX = 200;
const QUANTITY = { min: 1, max: 100, unit: 'garments' };
const GARMENTS_MAX = 500;
const CLOTHS_MAX = 20;
const ROLLS_MAX = 200;
const NAME_LENGTH_MAX = 40;
const LINE_LENGTH_MAX = 64;

/** Longest a request may ask for; a service or a shop may allow less. */
const SECONDS = { min: 0.1, max: 3_600, unit: 's' };
/** A minute for one garment; more gains nothing. */
const WORK = { min: 1, max: 100_000, unit: 'moves a piece' };
const SECONDS_USUAL = 10;
/** More searches of one order gain next to nothing. */
const SEARCHES = { min: 1, max: 8, unit: 'searches' };
const SEED = { min: 0, max: 2 ** 31 - 1, unit: '' };

const NAME = line(NAME_LENGTH_MAX);

const CLOTHS_OF_DRAFT = fields({
  shell: NAME.optional(),
  fusible: NAME.optional(),
  pocketing: NAME.optional(),
});

const ON_MARKER = fields({
  draftId: idOf('drf', 'a draft'),
  quantity: whole(QUANTITY).optional(),
  reference: line(LINE_LENGTH_MAX).optional(),
  size: NAME.optional(),
  cloths: CLOTHS_OF_DRAFT.optional(),
});

const CLOTH = fields({
  name: NAME,
  use: oneOf(CLOTH_USES).optional(),
  ...CLOTH_RULES,
  ...TURN_RULES,
  rolls: list(fields({ name: NAME, length: CLOTH_LENGTH }), ROLLS_MAX).optional(),
  previous: fields({
    length: CLOTH_LENGTH,
    garments: whole({ min: 1, max: GARMENTS_MAX, unit: '' }),
  }).optional(),
});

export const MARKER_ORDER = fields({
  drafts: list(ON_MARKER, DRAFTS_MAX),
  cloths: list(CLOTH, CLOTHS_MAX),
  seconds: number(SECONDS).optional(),
  work: whole(WORK).optional(),
  seed: whole(SEED).optional(),
  searches: whole(SEARCHES).optional(),
  startFrom: idOf('mrk', 'a marker').optional(),
  outputs: list(oneOf(MARKER_OUTPUTS), MARKER_OUTPUTS.length).optional(),
  reference: line(LINE_LENGTH_MAX).optional(),
  dated: DATE.optional(),
}).meta({ id: 'MarkerRequest' });

type Sent = z.output<typeof MARKER_ORDER>;

/**
 * Read what is to be laid, or say everything that is wrong with its form.
 *
 * Shape   drafts with quantities (1 when left out), cloths by name and use (`shell` when left out), `seconds` or `work`,
 *         neither meaning ten seconds; `secondsMax` is what this shop may ask for. Whether the drafts are there and the
 *         cloths can take them is for others to say.
 * Units   millimetres out; lengths may come as text with a unit.
 */
export function readMarkerOrder(json: unknown, secondsMax: number = SECONDS.max): Parsed<MarkerOrder> {
  const limits = limitProblems(json);
  if (limits.length > 0) return { ok: false, problems: atMost(limits) };
  const parsed = MARKER_ORDER.safeParse(json);
  if (!parsed.success) return { ok: false, problems: atMost(issuesToProblems(parsed.error.issues, json)) };
  const problems = togetherProblems(parsed.data, secondsMax);
  if (problems.length > 0) return { ok: false, problems: atMost(problems) };
  return { ok: true, value: toOrder(parsed.data, secondsMax) };
}

/** What is wrong with fields that are right by themselves. */
function togetherProblems({ drafts, cloths, seconds, work }: Sent, secondsMax: number): Problem[] {
  const garments = drafts.reduce((sum, { quantity = 1 }) => sum + quantity, 0);
  return [
    ...emptyProblems('drafts', drafts),
    ...emptyProblems('cloths', cloths),
    ...(garments <= GARMENTS_MAX ? [] : [tooManyGarments(drafts, garments)]),
    ...twice(cloths.map(({ name }) => name)).map((i) =>
      toProblem(['cloths', i, 'name'], cloths[i]?.name, NAME_TWICE),
    ),
    ...(seconds === undefined || work === undefined ? [] : [toProblem(['work'], work, ONE_OF_THE_TWO)]),
    ...(seconds === undefined || seconds <= secondsMax ? [] : [tooLong(seconds, secondsMax)]),
  ];
}

const NAME_TWICE = {
  code: 'CONFLICT',
  allowed: { form: 'each name once' },
  says: 'is the name of another cloth too',
  action: 'Rename one of them.',
} as const;

const ONE_OF_THE_TWO = {
  code: 'CONFLICT',
  allowed: { form: 'one of the two' },
  says: 'stands beside seconds, and only one of the two can end the search',
  action: 'Take one of them out.',
} as const;

function emptyProblems(name: string, items: readonly unknown[]): Problem[] {
  if (items.length > 0) return [];
  const allowed = { form: 'a list of at least 1' };
  return [
    toProblem([name], items, {
      code: 'TOO_FEW',
      allowed,
      says: 'is an empty list',
      action: 'Send at least one.',
    }),
  ];
}

function tooManyGarments(drafts: unknown, garments: number): Problem {
  const form = `at most ${GARMENTS_MAX} garments in all`;
  const says = `come to ${garments} garments, above ${GARMENTS_MAX}`;
  return toProblem(['drafts'], drafts, {
    code: 'TOO_MANY',
    allowed: { form },
    says,
    action: `Send ${form}.`,
  });
}

function tooLong(seconds: number, secondsMax: number): Problem {
  const allowed = { min: SECONDS.min, max: secondsMax, unit: 's' };
  const says = `is ${seconds} s, above the ${secondsMax} s that you may ask for`;
  return toProblem(['seconds'], seconds, {
    code: 'OUT_OF_RANGE',
    allowed,
    says,
    action: `Send at most ${secondsMax}.`,
  });
}

function twice(names: readonly string[]): number[] {
  return names.flatMap((name, i) => (names.indexOf(name) === i ? [] : [i]));
}

function toOrder(
  { drafts, cloths, seconds, work, seed, searches, outputs, ...rest }: Sent,
  secondsMax: number,
): MarkerOrder {
  return {
    ...given(rest),
    drafts: drafts.map(({ quantity = 1, cloths: own, ...draft }) => ({
      ...(given(draft) as Pick<DraftOnMarker, 'draftId' | 'reference' | 'size'>),
      quantity,
      ...(own === undefined ? {} : { cloths: given(own) }),
    })),
    cloths: cloths.map(toCloth),
    budget: work === undefined ? { seconds: seconds ?? Math.min(SECONDS_USUAL, secondsMax) } : { work },
    seed: seed ?? 1,
    searches: searches ?? 1,
    outputs: MARKER_OUTPUTS.filter((name) => (outputs ?? USUAL_OUTPUTS).includes(name)),
  };
}

function toCloth({
  name,
  use = 'shell',
  width,
  rolls,
  previous,
  ...rules
}: Sent['cloths'][number]): ClothOfMarker {
  const named = {
    selvedgeMm: rules.selvedge,
    endMarginMm: rules.endMargin,
    gapMm: rules.gap,
    nap: rules.nap,
    layup: rules.layup,
    turnsDegrees: rules.turns,
    tiltDegrees: rules.tilt,
    repeatAlongMm: rules.repeatAlong,
    repeatAcrossMm: rules.repeatAcross,
    markerLengthMaxMm: rules.lengthMax,
    rolls: rolls?.map((roll) => ({ name: roll.name, lengthMm: roll.length })),
    pricePerMetre: rules.pricePerMetre,
    endAllowanceMm: rules.endAllowance,
    previous: previous === undefined ? undefined : { lengthMm: previous.length, garments: previous.garments },
  };
  return { name, use, widthMm: width, ...given(named) };
}

type Given<T> = { [K in keyof T]?: Exclude<T[K], undefined> };

/** Only the fields that are there. */
function given<T extends object>(fieldsOf: T): Given<T> {
  return Object.fromEntries(Object.entries(fieldsOf).filter(([, value]) => value !== undefined)) as Given<T>;
}

/** The order as JSON of the contract, every default written out; reading it again gives the same order. */
export function markerOrderJson({
  drafts,
  cloths,
  budget,
  seed,
  searches,
  startFrom,
  outputs,
  reference,
  dated,
}: MarkerOrder): Json {
  return {
    drafts: drafts.map((draft) => ({ ...draft })),
    cloths: cloths.map(clothJson),
    ...budget,
    seed,
    searches,
    startFrom,
    outputs,
    reference,
    dated,
  };
}

function clothJson(cloth: ClothOfMarker): Json {
  const { name, use, widthMm, rolls, previous } = cloth;
  return {
    name,
    use,
    width: widthMm,
    selvedge: cloth.selvedgeMm,
    endMargin: cloth.endMarginMm,
    gap: cloth.gapMm,
    nap: cloth.nap,
    layup: cloth.layup,
    turns: cloth.turnsDegrees,
    tilt: cloth.tiltDegrees,
    repeatAlong: cloth.repeatAlongMm,
    repeatAcross: cloth.repeatAcrossMm,
    lengthMax: cloth.markerLengthMaxMm,
    rolls: rolls?.map((roll) => ({ name: roll.name, length: roll.lengthMm })),
    pricePerMetre: cloth.pricePerMetre,
    endAllowance: cloth.endAllowanceMm,
    previous: previous === undefined ? undefined : { length: previous.lengthMm, garments: previous.garments },
  };
}

/** The name that the contract has for a field of a cloth as it is understood. */
export const CLOTH_FIELD_NAMES: Readonly<Record<string, string>> = {
  widthMm: 'width',
  selvedgeMm: 'selvedge',
  endMarginMm: 'endMargin',
  gapMm: 'gap',
  turnsDegrees: 'turns',
  tiltDegrees: 'tilt',
  repeatAlongMm: 'repeatAlong',
  repeatAcrossMm: 'repeatAcross',
  markerLengthMaxMm: 'lengthMax',
  endAllowanceMm: 'endAllowance',
  lengthMm: 'length',
};
