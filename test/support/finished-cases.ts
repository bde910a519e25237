import { numbersFrom } from './random-numbers.js';
import {
  FINISH_DEFAULTS,
  finishBlock,
  type FinishRules,
  type FinishedPattern,
  type Shrinkage,
} from '#finishing';
import type { Body } from '#measurements';
import { draftResult, type DraftOrder } from '#pipeline';
import { TRADE_RULES } from '#truing';
import { polygonArea, type Curve, type Point } from '#geometry';

export interface FinishedCase {
  readonly name: string;
  readonly rules: FinishRules;
  readonly shrinkage: Shrinkage;
  readonly pattern: FinishedPattern;
}

const TRUING = { ...TRADE_RULES, lengthToleranceMm: 0.004 };

/** Random bodies, styles and finishing, as many as asked, always the same ones. */
export function finishedCases(bodies: readonly Body[], count: number): FinishedCase[] {
  const next = numbersFrom(20260401);
  const cases: FinishedCase[] = [];
  for (let i = 0; cases.length < count && i < 3 * count; i++) {
    const body = bodies[Math.floor(next() * bodies.length)];
    const { finished } = draftResult(orderFor(body, next));
    const uniform = i % 8 === 0;
    const rules = uniform ? uniformRules(4 + 20 * next()) : randomRules(next);
    const shrinkage = i % 3 === 0 ? { warp: 0.05 * next(), weft: 0.03 * next() } : { warp: 0, weft: 0 };
    if (finished === undefined) continue;
    const pattern = finishBlock(finished.block, rules, shrinkage, TRUING);
    cases.push({ name: `case ${i}`, rules, shrinkage, pattern });
  }
  return cases;
}

function orderFor(body: Body, next: () => number): DraftOrder {
  const drop = {
    drop: { share: 0.2 + 0.6 * next() },
    hemIn: 19 * next(),
  };
  return {
    body,
    block: 'from-body',
    ease: { name: (['close', 'regular', 'easy', 'full'] as const)[Math.floor(4 * next())], overrides: {} },
    alterations: next() < 0.6 ? [{ use: 'drop-crotch', with: drop }] : [],
    outputs: [],
  };
}

function randomRules(next: () => number): FinishRules {
  const between = (low: number, high: number): number => low + (high - low) * next();
  const pick = <T>(choices: readonly T[]): T => choices[Math.floor(next() * choices.length)];
  const forkMm = between(6, 12);
  return {
    ...FINISH_DEFAULTS,
    allowances: {
      inseamMm: between(6, 25),
      outseamMm: between(6, 25),
      waistMm: between(6, 20),
      hemMm: between(15, 60),
      forkMm,
      centreFrontMm: between(6, 20),
      centreBackMm: between(10, 40),
      smallPiecesMm: between(5, 15),
    },
    corners: {
      fork: pick(['square', 'flush', 'mitre']),
      sideWaist: pick(['square', 'flush', 'mitre']),
      centreWaist: pick(['square', 'flush', 'mitre']),
      hem: pick(['turned-back', 'turned-back', 'square', 'mitre']),
      mitreLimit: between(2, 4),
    },
    notch: { kind: pick(['slit', 'v']), depthMm: between(2, 6) },
    waist: { ...FINISH_DEFAULTS.waist, finish: pick(['waistband', 'elastic-casing']) },
    pockets: pick(['side-seam', 'none']),
  };
}

function uniformRules(widthMm: number): FinishRules {
  return {
    ...FINISH_DEFAULTS,
    allowances: {
      inseamMm: widthMm,
      outseamMm: widthMm,
      waistMm: widthMm,
      hemMm: widthMm,
      forkMm: widthMm,
      centreFrontMm: widthMm,
      centreBackMm: widthMm,
      smallPiecesMm: widthMm,
    },
    corners: { fork: 'mitre', sideWaist: 'mitre', centreWaist: 'mitre', hem: 'mitre', mitreLimit: 20 },
  };
}

/** One case as a line of JSON for `test/outside/measure-cut-pieces.py`. */
export function caseLine({ name, rules, pattern }: FinishedCase): string {
  const { allowances, corners } = rules;
  const widths = Object.values(allowances);
  const uniform = widths.every((width) => width === widths[0]);
  return JSON.stringify({
    case: name,
    // A corner's own shape reaches about as far along the seam as the widest allowance is wide.
    cornerMm: 2.5 * Math.max(...widths),
    uniformMm: uniform ? widths[0] : null,
    contained: true,
    turnedBack: corners.hem === 'turned-back',
    hemMm: allowances.hemMm,
    pieces: pattern.pieces.map(({ id, cut, runs, notches }) => ({
      id,
      cut: cut.map(({ at }) => pair(at)),
      area: Math.abs(polygonArea(cut.map(({ at }) => at))),
      runs: runs.map(({ seam, curves, widths: stations }) => ({
        seam,
        curves: curves.map(controlPoints),
        widths: stations.map(({ fromStartMm, widthMm }) => [fromStartMm, widthMm]),
      })),
      notches: notches.map((notch) => ({
        name: notch.name,
        seam: notch.seam,
        foot: pair(notch.foot),
        at: pair(notch.at),
      })),
    })),
  });
}

function pair({ x, y }: Point): [number, number] {
  return [x, y];
}

function controlPoints(curve: Curve): [number, number][] {
  return (curve.kind === 'line' ? [curve.p0, curve.p1] : [curve.p0, curve.p1, curve.p2, curve.p3]).map(pair);
}
