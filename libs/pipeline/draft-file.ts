import type { FitFigure, FitLimits } from '#fit';
import type { Point } from '#geometry';
import type { CompleteMeasures } from '#measurements';
import {
  FIGURES,
  measureBlock,
  type Block,
  type BlockFigures,
  type Finding,
  type FindingPlace,
  type Moved,
} from '#pattern';
import { LENGTH_TOLERANCE_MM } from './accuracy.js';
import type { AppliedStep } from './alteration-stage.js';
import { writtenPiece, writtenPoint, type WrittenPiece } from './block-file.js';
import type { DraftOrder, Provenance } from './draft-order.js';
import { fitRows } from './fit-rows.js';
import type { Fitted, MadeBlock } from './block-stage.js';
import { writtenCutPieces, type FinishStage } from './finish-stage.js';
import type { FinishedDraft, Print, ToldResult } from './produce-draft.js';

/** What `draft.json` holds, in writing order. */
export function draftFile(
  order: DraftOrder,
  provenance: Provenance,
  { stage, finished, moved, findings, fit }: ToldResult,
  cut: FinishStage | undefined,
  prints: readonly Print[],
): unknown {
  return {
    engine: provenance.engine,
    requestHash: provenance.requestHash,
    reference: order.reference,
    ...(order.dated === undefined ? {} : { dated: order.dated }),
    levels: finished?.block.levels ?? null,
    pieces: finished === undefined ? [] : writtenPieces(finished.block),
    ...(finished?.block.added === undefined ? {} : { added: finished.block.added }),
    measures: finished === undefined ? {} : finishedMeasures(finished),
    fit: finished === undefined ? [] : writtenFit(stage.measures, finished.made),
    fitFigures: fit.map(writtenFitFigure),
    yielded: finished?.made.yielded ?? null,
    ...(finished?.made.fitted === undefined ? {} : { fitted: writtenFitted(finished.made.fitted) }),
    altered: (finished?.applied ?? []).map(writtenStep),
    moved: moved.map(writtenMoved),
    estimates: stage.estimates.map(({ measure, valueMm, sdMm, from }) => ({ measure, valueMm, sdMm, from })),
    ...(cut === undefined ? {} : writtenCut(cut, prints)),
    findings: findings.map(writtenFinding),
  };
}

/** What one correction or alteration did to the measures of the block; those that it left alone are not listed. */
function writtenStep({ use, before, after, reports }: AppliedStep): unknown {
  const [was, is] = [before, after].map((block) => measureBlock(block, LENGTH_TOLERANCE_MM));
  return {
    use,
    measures: Object.fromEntries(
      FIGURES.filter((name) => Math.abs(is[name] - was[name]) > TOUCHED_MM).map((name) => [
        name,
        { before: was[name], after: is[name], difference: is[name] - was[name] },
      ]),
    ),
    reports: reports.map(({ name, quantity, value }) => ({ name, quantity, value })),
  };
}

/** Certified lengths of a seam that nobody touched may differ by as much. */
const TOUCHED_MM = 2 * LENGTH_TOLERANCE_MM;

function writtenCut(cut: FinishStage, prints: readonly Print[]): Record<string, unknown> {
  return {
    cutPieces: writtenCutPieces(cut),
    // How many sheets a print takes, before anybody opens it.
    pages: Object.fromEntries(prints.map(({ name, sheets }) => [name, sheets.length])),
  };
}

function writtenPieces({ front, back, levels }: Block): WrittenPiece[] {
  return [front, back].map((piece) => writtenPiece(piece, levels));
}

// What the written pieces measure. A style decides its own lengths, so after an alteration only the waist, which is what
// the style means it to be or the block's as fittings corrected it, and seams that are sewn to each other still have
// something to be held against.
function finishedMeasures({ made, block, waistCorrectedMm, intendedWaistMm }: FinishedDraft): unknown {
  const drafted = block === made.block ? made.drafted : measureBlock(block, LENGTH_TOLERANCE_MM);
  const targets =
    block === made.block
      ? made.targets
      : styleTargets(drafted, intendedWaistMm ?? made.drafted.waist + waistCorrectedMm);
  return Object.fromEntries(
    FIGURES.map((name) => {
      const target = targets[name] ?? null;
      return [
        name,
        { target, drafted: drafted[name], difference: target === null ? null : drafted[name] - target },
      ];
    }),
  );
}

function styleTargets(drafted: BlockFigures, waistMm: number): Partial<BlockFigures> {
  return { waist: waistMm, inseamBack: drafted.inseamFront, outseamBack: drafted.outseamFront };
}

function writtenFit(body: CompleteMeasures, { targets, drafted }: MadeBlock): unknown {
  return fitRows(body, targets, drafted).map(
    ({ name, bodyMm, easeMm, targetMm, draftedMm, differenceMm }) => ({
      name,
      body: bodyMm,
      ease: easeMm,
      target: targetMm,
      drafted: draftedMm,
      difference: differenceMm,
    }),
  );
}

function writtenFitted({ changes, measures }: Fitted): unknown {
  return {
    changes: changes.map(({ piece, measures: did, ...change }) => ({
      ...change,
      piece: piece ?? null,
      measures: did,
    })),
    measures: measures.map(({ measure, givenMm, targetMm, draftedMm, by }) => ({
      measure,
      given: givenMm,
      target: targetMm,
      drafted: draftedMm,
      difference: draftedMm - targetMm,
      by,
    })),
  };
}

function writtenFitFigure({ name, valueMm, green, red, state, caveat }: FitFigure): unknown {
  const limits = ({ minMm, maxMm }: FitLimits): unknown => ({ min: minMm ?? null, max: maxMm ?? null });
  return { name, value: valueMm, green: limits(green), red: limits(red), state, caveat };
}

function writtenMoved({ from, to, ...rest }: Moved): unknown {
  return { ...rest, ...pointsOf({ from, to }) };
}

export function writtenFinding({ place, ...rest }: Finding): unknown {
  return { ...rest, ...(place === undefined ? {} : { place: writtenPlace(place) }) };
}

function writtenPlace({ at, ...rest }: FindingPlace): unknown {
  return { ...rest, ...pointsOf({ at }) };
}

function pointsOf(points: Readonly<Record<string, Point | undefined>>): Record<string, unknown> {
  return Object.fromEntries(
    Object.entries(points).flatMap(([name, p]) => (p === undefined ? [] : [[name, writtenPoint(p)]])),
  );
}
