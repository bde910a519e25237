import { FINISH_DEFAULTS, finishBlock, type FinishedPattern, type FinishRules } from '#finishing';
import type { Body } from '#measurements';
import { draftResult } from '#pipeline';
import type { CutContent } from '#sheets';
import { TRADE_RULES } from '#truing';
import { surveyBodies } from './survey-bodies.js';
import { WORKED_BODY } from './worked-body.js';

const ALL_PIECES: FinishRules = { ...FINISH_DEFAULTS, pockets: 'side-seam' };

/** The pieces of one body with its crotch dropped by a share of the way to the knee. */
export function cutPattern(body: Body, drop: number, rules: FinishRules = ALL_PIECES): FinishedPattern {
  const { finished } = draftResult({
    body,
    block: 'from-body',
    ease: { name: 'regular', overrides: {} },
    alterations: [
      {
        use: 'drop-crotch',
        with: {
          drop: { share: drop },
          hemIn: 10,
          hemOpening: 'open',
        },
      },
    ],
    outputs: [],
  });
  if (finished === undefined) throw new Error(`no block for ${body.ref}`);
  const truing = { ...TRADE_RULES, lengthToleranceMm: 0.004 };
  return finishBlock(finished.block, rules, { warp: 0, weft: 0 }, truing);
}

/** Three bodies that have little in common: the worked example's, the slimmest and the fullest of the survey's. */
export function threeBodies(): { readonly name: string; readonly body: Body }[] {
  const byHip = surveyBodies().sort((a, b) => hipOf(a) - hipOf(b));
  return [
    { name: 'worked', body: WORKED_BODY },
    { name: 'slim', body: byHip[0] },
    { name: 'full', body: byHip[byHip.length - 1] },
  ];
}

function hipOf({ measures }: Body): number {
  return measures.hipGirth ?? 0;
}

export function cutContentOf(pattern: FinishedPattern, rest: Partial<CutContent> = {}): CutContent {
  return {
    reference: 'order 1042',
    pieces: pattern.pieces,
    provenance: { engine: 'forkline test', requestHash: 'a'.repeat(64), dated: '2026-04-01' },
    ...rest,
  };
}
