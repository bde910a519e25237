import { inCloth, type FitFigure } from '#fit';
import { writeSvg } from '#interchange';
import { bySeriousness, type Block, type Finding, type Moved } from '#pattern';
import { PLEX_WIDTHS, patternSheet, proofSheet, type Sheet } from '#sheets';
import {
  fixesThatStand,
  TRADE_RULES,
  trueBlock,
  type AppliedFix,
  type TruingReport,
  type TruingRules,
} from '#truing';
import { LENGTH_TOLERANCE_MM } from './accuracy.js';
import { alterationStage, type AlterationStage, type AppliedStep } from './alteration-stage.js';
import { blockStage, type BlockStage, type MadeBlock } from './block-stage.js';
import { stepRoomFindings } from './cautions.js';
import { draftFile } from './draft-file.js';
import { fitStage } from './fit-stage.js';
import type { DraftOrder, Provenance } from './draft-order.js';
import { measureFindings } from './measure-findings.js';
import {
  cutFiles,
  finishStage,
  isShrinking,
  type CutFiles,
  type FinishStage,
  type WrittenFiles,
} from './finish-stage.js';
import { patternContent, proofContent } from './sheet-content.js';
import { truingFile } from './truing-file.js';
import { writtenJson } from './written-json.js';

/** A file of text, as it is written. */
export interface TextFile {
  readonly name: string;
  readonly text: string;
}

/** A drawing that still has to be turned into points of grey; the same drawing is among the files. */
export interface Picture {
  readonly name: string;
  readonly sheet: Sheet;
  readonly widthPx: number;
}

/** Pages that still have to be rendered as a PDF. */
export interface Print {
  readonly name: string;
  readonly sheets: readonly Sheet[];
}

export interface DraftBegun {
  readonly pictures: readonly Picture[];
  /** Whether all files are also asked for in one `bundle.zip`. */
  readonly bundled: boolean;
  readonly findings: readonly Finding[];
  /** `stopped` when any finding is a stop: the files are there to be looked at, not to be cut from. */
  readonly answer: 'ready' | 'stopped';
  /** Writes the files and lays out the prints. */
  finish(): WrittenFiles;
}

export type DraftOutcome = Omit<DraftBegun, 'finish'> & WrittenFiles;

/** Everything known about a draft before it is written. */
export interface DraftResult {
  readonly stage: BlockStage;
  /** Undefined when no block could be made. */
  readonly finished: FinishedDraft | undefined;
  readonly moved: readonly Moved[];
  readonly findings: readonly Finding[];
}

/** A result with the figures that are told beside it, and with every finding of what was cut from it. */
export interface ToldResult extends DraftResult {
  readonly fit: readonly FitFigure[];
}

/** The pieces of a draft: the block they were made from, the block they became, and whether it sews. */
export interface FinishedDraft {
  readonly made: MadeBlock;
  /** The same as `made.block` when nothing was altered. */
  readonly block: Block;
  readonly truing: TruingReport;
  /** Fixes that were made to this very block. */
  readonly fixes: readonly AppliedFix[];
  readonly intendedStretchMm: number;
  /** How much wider than the block's the waist was made after fittings. */
  readonly waistCorrectedMm: number;
  /** What the style means the whole waist to measure; undefined where the block's waist counts. */
  readonly intendedWaistMm: number | undefined;
  /** Every correction and alteration that was made, in order. */
  readonly applied: readonly AppliedStep[];
}

/** An A3 sheet at 200 points to the inch: readable on paper and on a screen. */
const PROOF_WIDTH_PX = 2480;

/**
 * From a request to its files: the block, the alterations, the truing report, the cut pieces, the drawings.
 *
 * Shape     `draft.json` and `truing.json` always; the others as asked, when there is something to draw. Where pieces are
 *           finished, `truing.json` is about the seam lines as they are cut, with hem corners deciding. A stop finding
 *           stops nothing here: the draft is written so that a person can look.
 * Accuracy  lengths in the files are certified to 0.004 mm and written to 1e-6 mm.
 * Errors    none for any order that came through the door; a throw is a bug of the engine.
 * Cost      a few ms for the geometry, about 30 ms with the drawings, 80 with tiles, half a second with a marker.
 */
export function produceDraft(order: DraftOrder, provenance: Provenance): DraftOutcome {
  const { finish, ...begun } = beginDraft(order, provenance);
  return { ...begun, ...finish() };
}

/** The same in two steps: a picture can be rendered by another thread while the files are written by this one. */
export function beginDraft(order: DraftOrder, provenance: Provenance): DraftBegun {
  const result = draftResult(order);
  const { finished } = result;
  const cut = finished === undefined ? undefined : finishStage(order, finished, rulesFor(order, finished));
  const made = cut === undefined ? NOTHING_CUT : cutFiles(order, provenance, cut);
  const findings = bySeriousness([
    ...measureFindings(order.body),
    ...result.findings,
    ...(cut?.pattern.findings ?? []),
    ...made.findings,
  ]);
  const told = { ...result, findings, fit: fitStage(order, result) };
  const drawable = finished === undefined ? undefined : withHems({ ...told, finished }, cut);
  const proof =
    drawable === undefined || !order.outputs.includes('proof')
      ? undefined
      : proofSheet(proofContent(order, provenance, drawable), PLEX_WIDTHS);
  const finish = (): WrittenFiles => {
    const { files, prints } = made.written();
    return {
      files: [
        { name: 'draft.json', text: writtenJson(draftFile(order, provenance, told, cut, prints)) },
        {
          name: 'truing.json',
          text: writtenJson(truingFile(cut?.pattern.truing ?? finished?.truing, cut?.shrinkage)),
        },
        ...(proof === undefined ? [] : [{ name: 'proof.svg', text: writeSvg(proof) }]),
        ...seamDrawing(order, provenance, drawable),
        ...files,
      ],
      prints,
    };
  };
  return {
    pictures: proof === undefined ? [] : [{ name: 'proof.png', sheet: proof, widthPx: PROOF_WIDTH_PX }],
    bundled: order.outputs.includes('bundle'),
    findings,
    answer: findings.some(({ level }) => level === 'stop') ? 'stopped' : 'ready',
    finish,
  };
}

const NOTHING_CUT: CutFiles = { findings: [], written: () => ({ files: [], prints: [] }) };

// The proof shows the hem corners as finishing made them; grown for shrinkage, the report is about other lengths than
// the garment's.
function withHems(result: DrawableResult, cut: FinishStage | undefined): DrawableResult {
  if (cut === undefined || isShrinking(cut.shrinkage)) return result;
  return { ...result, finished: { ...result.finished, truing: cut.pattern.truing } };
}

/** The geometry of a draft without its files. */
export function draftResult(order: DraftOrder): DraftResult {
  const stage = blockStage(order);
  const { made } = stage;
  if (made === undefined) return { stage, finished: undefined, moved: stage.moved, findings: stage.findings };
  const altered = alterationStage(
    made.block,
    order.alterations,
    {
      measures: inCloth(stage.measures, order.cloth?.stretchPercent ?? 0),
      estimated: new Set(stage.estimates.map(({ measure }) => measure)),
    },
    order.body.corrections ?? [],
  );
  const fixes = fixesThatStand(stage.fixes, made.block, altered.block);
  const truing = trueBlock(altered.block, rulesFor(order, altered), fixes);
  const { intendedStretchMm, waistCorrectedMm, intendedWaistMm, applied } = altered;
  const findings = [
    ...stage.findings,
    ...altered.findings,
    ...truing.findings,
    ...stepRoomFindings(altered.block, stage.measures),
  ];
  return {
    stage,
    finished: {
      made,
      block: altered.block,
      truing,
      fixes,
      intendedStretchMm,
      waistCorrectedMm,
      intendedWaistMm,
      applied,
    },
    moved: [...stage.moved, ...altered.moved],
    findings: bySeriousness(findings),
  };
}

export function rulesFor(
  order: DraftOrder,
  { intendedStretchMm }: Pick<AlterationStage, 'intendedStretchMm'>,
): TruingRules {
  const cloth = order.cloth?.repeatMm === undefined ? 'plain' : 'repeat';
  return { ...TRADE_RULES, cloth, intendedStretchMm, lengthToleranceMm: LENGTH_TOLERANCE_MM };
}

/** A draft that has pieces to draw. */
export type DrawableResult = ToldResult & { readonly finished: FinishedDraft };

/** The seam lines, where no pieces are cut from them. */
function seamDrawing(
  order: DraftOrder,
  provenance: Provenance,
  result: DrawableResult | undefined,
): readonly TextFile[] {
  if (result === undefined || !order.outputs.includes('pattern') || order.finish !== undefined) return [];
  const sheet = patternSheet(patternContent(order, provenance, result), PLEX_WIDTHS);
  return [{ name: 'pattern.svg', text: writeSvg(sheet) }];
}
