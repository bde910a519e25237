import type { EaseName } from '#fit';
import type { Body } from '#measurements';
import { FIGURES, seamLengthMm, type Block, type BlockFigures } from '#pattern';
import { LENGTH_TOLERANCE_MM } from './accuracy.js';
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
  /** Codes of the questions a person would be asked. */
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
  return { result: surveyResult(body.ref, drafted), pieces: surveyPieces(body.ref, drafted) };
}

/** Findings that ask the shop to measure again. */
const ASKING = ['CROTCH_VS_RISE', 'SPLIT_MOVED'];

function surveyResult(ref: string, { stage, finished, findings, truing }: DraftResult): SurveyResult {
  const { drafted, yielded, targets } = stage;
  const codes = stage.findings.map(({ code }) => code);
  const asks = codes.filter((code) => ASKING.includes(code));
  if (drafted === undefined || yielded === undefined || finished === undefined) {
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
  return {
    ref,
    state: Math.abs(splitMoveMm) <= AS_MEASURED_MM ? 'as-measured' : 'split-moved',
    reason: null,
    splitMove: splitMoveMm,
    depthMove: depthMoveMm,
    asks,
    findings: codes,
    residuals: residualsOf(drafted, targets),
    altered:
      finished === stage.block
        ? null
        : {
            sewable: truing?.sewable ?? false,
            finishedWaist: waistMm(finished),
            findings: findings.filter((finding) => !stage.findings.includes(finding)).map(({ code }) => code),
          },
  };
}

function residualsOf(drafted: BlockFigures, targets: Partial<BlockFigures>): BlockFigures {
  return Object.fromEntries(
    FIGURES.map((name) => [name, drafted[name] - (targets[name] ?? drafted[name])]),
  ) as unknown as BlockFigures;
}

function waistMm({ front, back }: Block): number {
  return (
    2 * (seamLengthMm(front, 'waist', LENGTH_TOLERANCE_MM) + seamLengthMm(back, 'waist', LENGTH_TOLERANCE_MM))
  );
}

function surveyPieces(ref: string, { stage, finished }: DraftResult): SurveyPieces {
  const { block, targets } = stage;
  if (block === undefined || finished === undefined)
    return { ref, targets: null, block: null, altered: null };
  return {
    ref,
    targets: targets as BlockFigures,
    block: bothPieces(block),
    altered: finished === block ? null : bothPieces(finished),
  };
}

function bothPieces(block: Block): Record<'front' | 'back', SurveyPiece> {
  const written = (role: 'front' | 'back'): SurveyPiece => {
    const { edges, landmarks } = writtenPiece(block[role], block.levels);
    return { edges, landmarks };
  };
  return { front: written('front'), back: written('back') };
}
