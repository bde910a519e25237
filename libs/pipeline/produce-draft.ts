import { writeSvg } from '#interchange';
import { bySeriousness, type Block, type Finding, type Moved } from '#pattern';
import { PLEX_WIDTHS, patternSheet, proofSheet } from '#sheets';
import { TRADE_RULES, trueBlock, type AppliedFix, type TruingReport, type TruingRules } from '#truing';
import { LENGTH_TOLERANCE_MM } from './accuracy.js';
import { alterationStage, type AlterationStage } from './alteration-stage.js';
import { blockStage, type BlockStage, type MadeBlock } from './block-stage.js';
import { stepRoomFindings } from './cautions.js';
import { draftFile } from './draft-file.js';
import type { DraftOrder, Provenance } from './draft-order.js';
import { patternContent, proofContent } from './sheet-content.js';
import { truingFile } from './truing-file.js';
import { writtenJson } from './written-json.js';

/** A file of text, as it is written. */
export interface TextFile {
  readonly name: string;
  readonly text: string;
}

/** A drawing that still has to be turned into points of colour; the same drawing is among the files. */
export interface Picture {
  readonly name: string;
  readonly svg: string;
  readonly widthPx: number;
}

export interface DraftOutcome {
  readonly files: readonly TextFile[];
  readonly pictures: readonly Picture[];
  readonly findings: readonly Finding[];
  /** `stopped` when any finding is a stop: the files are there to be looked at, not to be cut from. */
  readonly answer: 'ready' | 'stopped';
}

/** Everything known about a draft before it is written. */
export interface DraftResult {
  readonly stage: BlockStage;
  /** Undefined when no block could be made. */
  readonly finished: FinishedDraft | undefined;
  readonly moved: readonly Moved[];
  readonly findings: readonly Finding[];
}

/** The pieces of a draft: the block they were made from, the block they became, and whether it sews. */
export interface FinishedDraft {
  readonly made: MadeBlock;
  /** The same as `made.block` when nothing was altered. */
  readonly block: Block;
  readonly truing: TruingReport;
}

/** An A3 sheet at 200 points to the inch: readable on paper and on a screen. */
const PROOF_WIDTH_PX = 3307;

/**
 * From a request to its files: the block, the alterations, the truing report, the drawings.
 *
 * Shape     `draft.json` and `truing.json` always; `proof.svg`, `proof.png` and `pattern.svg` as asked, when there is
 *           something to draw. A stop finding stops nothing here: the draft is written so that a person can look.
 * Accuracy  lengths in the files are certified to 0.004 mm and written to 1e-6 mm.
 * Errors    none for any order that came through the door; a throw is a bug of the engine.
 * Cost      a few ms for the geometry, about 20 ms with the drawings.
 */
export function produceDraft(order: DraftOrder, provenance: Provenance): DraftOutcome {
  const result = draftResult(order);
  const { finished, findings } = result;
  const drawings = finished === undefined ? [] : drawingsOf(order, provenance, { ...result, finished });
  const files = [
    { name: 'draft.json', text: writtenJson(draftFile(order, provenance, result)) },
    { name: 'truing.json', text: writtenJson(truingFile(finished?.truing)) },
    ...drawings,
  ];
  const pictures = drawings
    .filter(({ name }) => name === 'proof.svg')
    .map(({ text }) => ({ name: 'proof.png', svg: text, widthPx: PROOF_WIDTH_PX }));
  const answer = findings.some(({ level }) => level === 'stop') ? 'stopped' : 'ready';
  return { files, pictures, findings, answer };
}

/** The geometry of a draft without its files. */
export function draftResult(order: DraftOrder): DraftResult {
  const stage = blockStage(order);
  const { made } = stage;
  if (made === undefined) return { stage, finished: undefined, moved: stage.moved, findings: stage.findings };
  const altered = alterationStage(made.block, order.alterations, stage.measures);
  const fixes = altered.block === made.block ? stage.fixes : fixesLeft(stage.fixes);
  const truing = trueBlock(altered.block, rulesFor(order, altered), fixes);
  const findings = [
    ...stage.findings,
    ...altered.findings,
    ...truing.findings,
    ...stepRoomFindings(altered.block, stage.measures),
  ];
  return {
    stage,
    finished: { made, block: altered.block, truing },
    moved: [...stage.moved, ...altered.moved],
    findings: bySeriousness(findings),
  };
}

function rulesFor(order: DraftOrder, { intendedStretchMm }: AlterationStage): TruingRules {
  const cloth = order.cloth?.repeatMm === undefined ? 'plain' : 'repeat';
  return { ...TRADE_RULES, cloth, intendedStretchMm, lengthToleranceMm: LENGTH_TOLERANCE_MM };
}

// Ease that was agreed for the seams of the block says nothing about seams that were redrawn after it.
function fixesLeft(fixes: readonly AppliedFix[]): AppliedFix[] {
  return fixes.filter(({ fix }) => fix.kind !== 'spread-ease');
}

/** A draft that has pieces to draw. */
export type DrawableResult = DraftResult & { readonly finished: FinishedDraft };

function drawingsOf(order: DraftOrder, provenance: Provenance, result: DrawableResult): TextFile[] {
  const files: TextFile[] = [];
  if (order.outputs.includes('proof')) {
    files.push({
      name: 'proof.svg',
      text: writeSvg(proofSheet(proofContent(order, provenance, result), PLEX_WIDTHS)),
    });
  }
  if (order.outputs.includes('pattern')) {
    files.push({
      name: 'pattern.svg',
      text: writeSvg(patternSheet(patternContent(order, provenance, result), PLEX_WIDTHS)),
    });
  }
  return files;
}
