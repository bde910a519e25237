export type {
  AlterationOrder,
  DraftOrder,
  DraftOutput,
  ForeignBlock,
  ForeignPiece,
  Provenance,
} from './draft-order.js';
export {
  draftResult,
  produceDraft,
  type DraftOutcome,
  type DraftResult,
  type Picture,
  type TextFile,
} from './produce-draft.js';
export {
  draftForSurvey,
  type SurveyOptions,
  type SurveyPieces,
  type SurveyResult,
  type SurveyState,
} from './survey.js';
export { writtenJson } from './written-json.js';
