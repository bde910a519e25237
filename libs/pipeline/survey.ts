import type { EaseName } from '#fit';
import { questionsOf, type Body } from '#measurements';
import { FIGURES, waistGirthMm, type Block, type BlockFigures } from '#pattern';
import { LENGTH_TOLERANCE_MM } from './accuracy.js';
import type { MadeBlock } from './block-stage.js';
import { writtenPiece, type WrittenPiece } from './block-file.js';
import { draftResult, type DraftResult } from './produce-draft.js';
import type { AlterationOrder } from './draft-order.js';

export interface SurveyOptions {
  readonly ease: EaseName;
  readonly alteration?: AlterationOrder;
}

export type SurveyState = 'as-measured' | 'split-moved' | 'refused';

/** What one body of a table came to; one element of a population report. */
export interface SurveyResult {
  readonly ref: string;
  readonly state: SurveyState;
  readonly reason: string | null;
  readonly splitMove: number | null;
  readonly depthMove: number | null;
  /** Codes of the questions a request would have to confirm before it is drafted. */
  readonly asks: readonly string[];
  readonly findings: readonly string[];
  readonly residuals: BlockFigures | null;
  readonly altered: {
    readonly sewable: boolean;
    readonly finishedWaist: number;
    readonly findings: readonly string[];
  } | null;
}

/** The pieces of one body, for measuring again with other means. */
export interface SurveyPieces {
  readonly ref: string;
  readonly targets: BlockFigures | null;
  readonly block: Record<'front' | 'back', SurveyPiece> | null;
  readonly altered: Record<'front' | 'back', SurveyPiece> | null;
}

type SurveyPiece = Pick<WrittenPiece, 'edges' | 'landmarks'>;

/** A split that moved less than this is the tape's own uncertainty; common practice, no source. */
const AS_MEASURED_MM = 10;

/** Draft, and alter when asked, one body of a table. Questions are listed, not waited for. */
export function draftForSurvey(
  body: Body,
  options: SurveyOptions,
): { readonly result: SurveyResult; readonly pieces: SurveyPieces } {
  const alterations = options.alteration === undefined ? [] : [options.alteration];
  const drafted = draftResult({
    body,
    block: 'from-body',
    ease: { name: options.ease, overrides: {} },
    alterations,
    outputs: [],
  });
  return { result: surveyResult(body, drafted), pieces: surveyPieces(body.ref, drafted) };
}

function surveyResult(body: Body, { stage, finished, findings }: DraftResult): SurveyResult {
  const codes = stage.findings.map(({ code }) => code);
  const { ref } = body;
  const asks = [...new Set(questionsOf(body).map(({ code }) => code))];
  const yielded = finished?.made.yielded;
  if (finished === undefined || yielded === undefined) {
    const reason = stage.findings.find(({ level }) => level === 'stop')?.message ?? null;
    return {
      ref,
      state: 'refused',
      reason,
      splitMove: null,
      depthMove: null,
      asks,
      findings: codes,
      residuals: null,
      altered: null,
    };
  }
  const { splitMoveMm, depthMoveMm } = yielded;
  const { made, block, truing } = finished;
  return {
    ref,
    state: Math.abs(splitMoveMm) <= AS_MEASURED_MM ? 'as-measured' : 'split-moved',
    reason: null,
    splitMove: splitMoveMm,
    depthMove: depthMoveMm,
    asks,
    findings: codes,
    residuals: residualsOf(made),
    altered:
      block === made.block
        ? null
        : {
            sewable: truing.sewable,
            finishedWaist: waistGirthMm(block, LENGTH_TOLERANCE_MM),
            findings: findings.filter((finding) => !stage.findings.includes(finding)).map(({ code }) => code),
          },
  };
}

function residualsOf({ drafted, targets }: MadeBlock): BlockFigures {
  return Object.fromEntries(
    FIGURES.map((name) => [name, drafted[name] - (targets[name] ?? drafted[name])]),
  ) as unknown as BlockFigures;
}

function surveyPieces(ref: string, { finished }: DraftResult): SurveyPieces {
  if (finished === undefined) return { ref, targets: null, block: null, altered: null };
  const { made, block } = finished;
  return {
    ref,
    targets: made.targets as BlockFigures,
    block: bothPieces(made.block),
    altered: block === made.block ? null : bothPieces(block),
  };
}

function bothPieces(block: Block): Record<'front' | 'back', SurveyPiece> {
  const written = (role: 'front' | 'back'): SurveyPiece => {
    const { edges, landmarks } = writtenPiece(block[role], block.levels);
    return { edges, landmarks };
  };
  return { front: written('front'), back: written('back') };
}
