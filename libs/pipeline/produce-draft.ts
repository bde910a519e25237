import { writeSvg } from '#interchange';
import type { Block, Finding, Moved } from '#pattern';
import { PLEX_WIDTHS, patternSheet, proofSheet } from '#sheets';
import { TRADE_RULES, trueBlock, type TruingReport } from '#truing';
import { alterationStage } from './alteration-stage.js';
import { blockStage, type BlockStage } from './block-stage.js';
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
  readonly finished: Block | undefined;
  readonly moved: readonly Moved[];
  readonly findings: readonly Finding[];
  readonly truing: TruingReport | undefined;
}

/** An A3 sheet at 200 points to the inch: readable on paper and on a screen. */
const PROOF_WIDTH_PX = 3307;

/**
 * From a request to its files: the block, the alterations, the truing report, the drawings.
 *
 * Shape     `draft.json` and `truing.json` always; `proof.svg`, `proof.png` and `pattern.svg` as asked, when there is
 *           something to draw. A stop finding stops nothing here: the draft is written so that a person can look.
 * Accuracy  lengths in the files are certified to 0.001 mm and written to 1e-6 mm.
 * Errors    none for any order that came through the door; a throw is a bug of the engine.
 * Cost      a few ms for the geometry, about 20 ms with the drawings.
 */
export function produceDraft(order: DraftOrder, provenance: Provenance): DraftOutcome {
  const result = draftResult(order);
  const { finished, truing, findings } = result;
  const drawings =
    finished === undefined || truing === undefined
      ? []
      : drawingsOf(order, provenance, { ...result, finished, truing });
  const files = [
    { name: 'draft.json', text: writtenJson(draftFile(order, provenance, result)) },
    { name: 'truing.json', text: writtenJson(truingFile(truing)) },
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
  if (stage.block === undefined) {
    return { stage, finished: undefined, moved: stage.moved, findings: stage.findings, truing: undefined };
  }
  const altered = alterationStage(stage.block, order.alterations, stage.measures);
  const rules = { ...TRADE_RULES, cloth: order.cloth?.repeatMm === undefined ? 'plain' : 'repeat' } as const;
  const truing = trueBlock(altered.block, rules, stage.fixes);
  const findings = [
    ...stage.findings,
    ...altered.findings,
    ...truing.findings,
    ...stepRoomFindings(altered.block, stage.measures),
  ];
  return {
    stage,
    finished: altered.block,
    moved: [...stage.moved, ...altered.moved],
    findings: bySeriousness(findings),
    truing,
  };
}

const SERIOUSNESS = { stop: 0, warning: 1, info: 2 } as const;

function bySeriousness(findings: readonly Finding[]): Finding[] {
  return [...findings].sort((a, b) => SERIOUSNESS[a.level] - SERIOUSNESS[b.level]);
}

/** A draft with everything a drawing needs. */
export type DrawableResult = DraftResult & { readonly finished: Block; readonly truing: TruingReport };

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
