import type { Point } from '#geometry';
import type { Block, BlockFigures, Finding, FindingPlace, Moved } from '#pattern';
import { FIGURES, measureBlock } from '#pattern';
import { LENGTH_TOLERANCE_MM } from './accuracy.js';
import { writtenPiece, writtenPoint } from './block-file.js';
import type { DraftOrder, Provenance } from './draft-order.js';
import { fitRows } from './fit-rows.js';
import type { BlockStage } from './block-stage.js';

/** What `draft.json` holds, in writing order. */
export function draftFile(
  order: DraftOrder,
  provenance: Provenance,
  result: {
    readonly stage: BlockStage;
    readonly finished: Block | undefined;
    readonly moved: readonly Moved[];
    readonly findings: readonly Finding[];
  },
): unknown {
  const { stage, finished, moved, findings } = result;
  return {
    engine: provenance.engine,
    requestHash: provenance.requestHash,
    reference: order.reference,
    ...(order.dated === undefined ? {} : { dated: order.dated }),
    levels: finished?.levels ?? null,
    pieces:
      finished === undefined
        ? []
        : [finished.front, finished.back].map((piece) => writtenPiece(piece, finished.levels)),
    measures: finished === undefined ? {} : finishedMeasures(finished, stage),
    fit: stage.drafted === undefined ? [] : writtenFit(stage),
    yielded: stage.yielded ?? null,
    moved: moved.map(writtenMoved),
    estimates: stage.estimates.map(({ measure, valueMm, sdMm, from }) => ({ measure, valueMm, sdMm, from })),
    findings: findings.map(writtenFinding),
  };
}

// What the written pieces measure. A style decides its own lengths, so after an alteration only the waist, which is
// restored to the block's, and seams that are sewn to each other still have something to be held against.
function finishedMeasures(finished: Block, stage: BlockStage): unknown {
  const drafted = measureBlock(finished, LENGTH_TOLERANCE_MM);
  const targets: Partial<BlockFigures> =
    finished === stage.block ? stage.targets : styleTargets(drafted, stage);
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

function styleTargets(drafted: BlockFigures, stage: BlockStage): Partial<BlockFigures> {
  return {
    ...(stage.drafted === undefined ? {} : { waist: stage.drafted.waist }),
    inseamBack: drafted.inseamFront,
    outseamBack: drafted.outseamFront,
  };
}

function writtenFit(stage: BlockStage): unknown {
  if (stage.drafted === undefined) return [];
  return fitRows(stage.measures, stage.targets, stage.drafted).map(
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
