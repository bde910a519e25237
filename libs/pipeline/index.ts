export type {
  AlterationOrder,
  ClothOrder,
  DraftOrder,
  DraftOutput,
  FinishOrder,
  ForeignBlock,
  ForeignPiece,
  Provenance,
} from './draft-order.js';
export {
  beginDraft,
  draftResult,
  produceDraft,
  type DraftOutcome,
  type DraftResult,
  type Picture,
  type Print,
  type TextFile,
} from './produce-draft.js';
export {
  cutPiecesOf,
  printPattern,
  type PrintedPattern,
  type PrintOrder,
  type PrintPaper,
} from './print-pattern.js';
export { previewDraft, type Preview } from './preview.js';
export {
  draftForSurvey,
  type SurveyOptions,
  type SurveyPieces,
  type SurveyResult,
  type SurveyState,
} from './survey.js';
export { writtenJson, writtenJsonLine } from './written-json.js';
export { checkGivenBlock, type CheckedBlock } from './check-given-block.js';
