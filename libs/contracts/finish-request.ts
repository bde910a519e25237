import { FINISH_DEFAULTS, type FinishRules, type Shrinkage } from '#finishing';
import type { z } from 'zod';
import type { Json } from './canonical-json.js';
import { fields, length, line, number, oneOf, said } from './field.js';

export const PAPERS = ['roll-610', 'roll-914', 'roll-1067', 'a0'] as const;
export const TILE_AREAS = ['page', 'a4-letter'] as const;

/** How the pieces are finished and what they are drawn on, every default in its place. */
export interface FinishRequest {
  readonly rules: FinishRules;
  readonly paper: (typeof PAPERS)[number];
  readonly tileArea: (typeof TILE_AREAS)[number];
  readonly dxf: { readonly profile: 'astm' | 'aama'; readonly units: 'metric' | 'english' };
}

/** A slip of unit stays out; what a seam needs is the shop's to say. Design choices, in mm. */
const ALLOWANCE_MM = { min: 0, max: 80 };
const HEM_MM = { min: 0, max: 150 };
const NOTCH_MM = { min: 1, max: 10 };
const BAND_MM = { min: 10, max: 120 };
const UNDERLAP_MM = { min: 0, max: 120 };
const MITRE_WIDTHS = { min: 1, max: 10, unit: 'widths of the allowance' };

const PRESSED_OPEN = ['square', 'flush', 'mitre'] as const;

export const FINISH = fields({
  allowances: fields({
    inseam: length(ALLOWANCE_MM).optional(),
    outseam: length(ALLOWANCE_MM).optional(),
    waist: length(ALLOWANCE_MM).optional(),
    hem: length(HEM_MM).optional(),
    fork: length(ALLOWANCE_MM).optional(),
    centreFront: length(ALLOWANCE_MM).optional(),
    centreBack: length(ALLOWANCE_MM).optional(),
    smallPieces: length(ALLOWANCE_MM).optional(),
  }).optional(),
  corners: fields({
    fork: oneOf(PRESSED_OPEN).optional(),
    sideWaist: oneOf(PRESSED_OPEN).optional(),
    centreWaist: oneOf(PRESSED_OPEN).optional(),
    hem: oneOf(['turned-back', 'square', 'mitre']).optional(),
    mitreLimit: number(MITRE_WIDTHS).optional(),
  }).optional(),
  notch: fields({
    kind: oneOf(['slit', 'v', 'as-drawn']).optional(),
    depth: length(NOTCH_MM).optional(),
  }).optional(),
  waist: fields({
    finish: oneOf(['waistband', 'elastic-casing', 'none']).optional(),
    height: length(BAND_MM).optional(),
    underlap: length(UNDERLAP_MM).optional(),
  }).optional(),
  fly: oneOf(['facing-and-shield', 'none']).optional(),
  pockets: oneOf(['side-seam', 'none']).optional(),
  paper: oneOf(PAPERS).optional(),
  tileArea: oneOf(TILE_AREAS).optional(),
  dxf: fields({
    profile: oneOf(['astm', 'aama']).optional(),
    units: oneOf(['metric', 'english']).optional(),
  }).optional(),
});

type Sent = z.output<typeof FINISH>;

/** The finishing of a draft that asked for none. */
export function finishByDefault(): FinishRequest {
  return finishRequest({});
}

/** Widths, corners, notches and papers of the trade where the request says nothing (common practice, no source). */
export function finishRequest(sent: Sent): FinishRequest {
  const usual = FINISH_DEFAULTS;
  const { allowances = {}, corners = {}, notch = {}, waist = {}, dxf = {} } = sent;
  return {
    rules: {
      allowances: {
        inseamMm: allowances.inseam ?? usual.allowances.inseamMm,
        outseamMm: allowances.outseam ?? usual.allowances.outseamMm,
        waistMm: allowances.waist ?? usual.allowances.waistMm,
        hemMm: allowances.hem ?? usual.allowances.hemMm,
        forkMm: allowances.fork ?? usual.allowances.forkMm,
        centreFrontMm: allowances.centreFront ?? usual.allowances.centreFrontMm,
        centreBackMm: allowances.centreBack ?? usual.allowances.centreBackMm,
        smallPiecesMm: allowances.smallPieces ?? usual.allowances.smallPiecesMm,
      },
      corners: {
        fork: corners.fork ?? usual.corners.fork,
        sideWaist: corners.sideWaist ?? usual.corners.sideWaist,
        centreWaist: corners.centreWaist ?? usual.corners.centreWaist,
        hem: corners.hem ?? usual.corners.hem,
        mitreLimit: corners.mitreLimit ?? usual.corners.mitreLimit,
      },
      notch: { kind: notch.kind ?? usual.notch.kind, depthMm: notch.depth ?? usual.notch.depthMm },
      waist: {
        finish: waist.finish ?? usual.waist.finish,
        heightMm: waist.height ?? usual.waist.heightMm,
        underlapMm: waist.underlap ?? usual.waist.underlapMm,
      },
      fly: sent.fly ?? usual.fly,
      pockets: sent.pockets ?? usual.pockets,
      accuracy: usual.accuracy,
    },
    paper: sent.paper ?? 'roll-914',
    tileArea: sent.tileArea ?? 'page',
    dxf: { profile: dxf.profile ?? 'astm', units: dxf.units ?? 'metric' },
  };
}

/** The finishing as it was understood, every default written out. */
export function finishJson({ rules, paper, tileArea, dxf }: FinishRequest): Json {
  const { allowances, corners, notch, waist, fly, pockets } = rules;
  return {
    allowances: {
      inseam: allowances.inseamMm,
      outseam: allowances.outseamMm,
      waist: allowances.waistMm,
      hem: allowances.hemMm,
      fork: allowances.forkMm,
      centreFront: allowances.centreFrontMm,
      centreBack: allowances.centreBackMm,
      smallPieces: allowances.smallPiecesMm,
    },
    corners: { ...corners },
    notch: { kind: notch.kind, depth: notch.depthMm },
    waist: { finish: waist.finish, height: waist.heightMm, underlap: waist.underlapMm },
    fly,
    pockets,
    paper,
    tileArea,
    dxf: { ...dxf },
  };
}

/** What is known of the cloth; lengths in mm. */
export interface ClothRequest {
  readonly name?: string;
  readonly widthMm?: number;
  /** Length of the pattern repeat along the cloth; balance lines must meet closer where there is one. */
  readonly repeatMm?: number;
  readonly shrinkage?: Shrinkage;
  /** How far the cloth gives round the body in wear, in per cent. */
  readonly stretchPercent?: number;
  /** How pieces may lie on it; for the draft's own marker. */
  readonly nap?: (typeof NAPS)[number];
  readonly selvedgeMm?: number;
  readonly endMarginMm?: number;
  readonly gapMm?: number;
  readonly pricePerMetre?: number;
}

const NAPS = ['free', 'per-garment', 'one-way'] as const;
const NAME_LENGTH_MAX = 40;
/** A cloth that grows in washing is sent with a minus. Design choice. */
const SHRINKAGE_PERCENT = { min: -5, max: 20, unit: 'percent' };
/** Beyond it a trouser is knitwear, which is not drafted on this block. Design choice. */
const STRETCH_PERCENT = { min: 0, max: 15, unit: 'percent' };
const PERCENT = 100;

export const CLOTH = fields({
  name: line(NAME_LENGTH_MAX).optional(),
  width: length({ min: 200, max: 5000 }).optional(),
  repeat: length({ min: 1, max: 2000 }).optional(),
  shrinkage: fields({
    warp: number(SHRINKAGE_PERCENT).optional(),
    weft: number(SHRINKAGE_PERCENT).optional(),
  }).optional(),
  stretch: said(
    number(STRETCH_PERCENT).optional(),
    'Percent that the cloth gives round the body in wear; girths are drafted smaller by it.',
  ),
  nap: oneOf(NAPS).optional(),
  selvedge: length({ min: 0, max: 500 }).optional(),
  endMargin: length({ min: 0, max: 500 }).optional(),
  gap: length({ min: 0, max: 100 }).optional(),
  pricePerMetre: number({ min: 0, max: 100_000, unit: '' }).optional(),
});

export function clothRequest(sent: z.output<typeof CLOTH>): ClothRequest {
  const { name, width, repeat, shrinkage, stretch, nap, selvedge, endMargin, gap, pricePerMetre } = sent;
  return {
    ...(name === undefined ? {} : { name }),
    ...(width === undefined ? {} : { widthMm: width }),
    ...(repeat === undefined ? {} : { repeatMm: repeat }),
    ...(shrinkage === undefined
      ? {}
      : { shrinkage: { warp: shareOf(shrinkage.warp), weft: shareOf(shrinkage.weft) } }),
    ...(stretch === undefined ? {} : { stretchPercent: stretch }),
    ...(nap === undefined ? {} : { nap }),
    ...(selvedge === undefined ? {} : { selvedgeMm: selvedge }),
    ...(endMargin === undefined ? {} : { endMarginMm: endMargin }),
    ...(gap === undefined ? {} : { gapMm: gap }),
    ...(pricePerMetre === undefined ? {} : { pricePerMetre }),
  };
}

// Adding zero makes a minus zero plain: it means the same and must hash the same.
function shareOf(percent = 0): number {
  return percent / PERCENT + 0;
}

export function clothJson(cloth: ClothRequest): Json {
  const {
    name,
    widthMm,
    repeatMm,
    shrinkage,
    stretchPercent,
    nap,
    selvedgeMm,
    endMarginMm,
    gapMm,
    pricePerMetre,
  } = cloth;
  return {
    name,
    width: widthMm,
    repeat: repeatMm,
    shrinkage:
      shrinkage === undefined
        ? undefined
        : { warp: inPercent(shrinkage.warp), weft: inPercent(shrinkage.weft) },
    stretch: stretchPercent,
    nap,
    selvedge: selvedgeMm,
    endMargin: endMarginMm,
    gap: gapMm,
    pricePerMetre,
  };
}

// The percent that reads back as the same share: the shortest of those next to share * 100.
function inPercent(share: number): number {
  const percent = share * PERCENT;
  const near = [Number(percent.toPrecision(12)), percent, percent * (1 + EPSILON), percent * (1 - EPSILON)];
  return near.find((candidate) => candidate / PERCENT === share) ?? percent;
}

const EPSILON = Number.EPSILON;
