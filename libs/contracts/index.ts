export { HOUSE_ALTERATIONS } from './alteration-catalogue.js';
export { BODY, readBody } from './body.js';
export * from './check-order.js';
export { readCheckSettings } from './check-request.js';
export {
  isProfileName,
  layeredRules,
  originsOf,
  PROFILE_NAME_FORM,
  readRulesProfile,
  RULES_PROFILE_REQUEST,
  SHOP_PROFILE,
  type RulesContent,
} from './rules-profile.js';
export * from './check-responses.js';
export { canonicalJson, type Json } from './canonical-json.js';
export * from './draft-request.js';
export * from './draft-request-json.js';
export {
  EXPORT_REQUEST,
  exportRequestText,
  readExportRequest,
  type ExportRequest,
} from './export-request.js';
export { finishByDefault } from './finish-request.js';
export { DRAFT_TOKEN_REQUEST, isHandedOn, TOKEN_SECONDS } from './draft-token.js';
export type { EaseRequest } from './ease-request.js';
export { BLOCK, readBlock, type GivenBlock, type GivenEdge, type GivenPiece } from './given-block.js';
export { JSON_BYTES_MAX, readJsonText, textTooLarge } from './json-text.js';
export {
  CLOTH_FIELD_NAMES,
  MARKER_ORDER,
  markerOrderJson,
  readMarkerOrder,
  type ClothOfMarker,
  type MarkerBudget,
  type MarkerOrder,
} from './marker-order.js';
export {
  ALTERATION_NAMES,
  alterationByDefault,
  nameOf,
  nameTaken,
  usesOfTheShop,
  type AlterationRequest,
} from './alteration-request.js';
export { readMarkerRequest } from './marker-request.js';
export { readStartPlaces } from './marker-start.js';
export {
  JOB_PAYLOADS,
  MESSAGES,
  type JobPayload,
  type MessagePayload,
  type MessageTopic,
} from './messages.js';
export { nearestName } from '#spelling';
export {
  allowedInWords,
  atMost,
  pointerOf,
  type Allowed,
  type Parsed,
  type Problem,
  type ProblemCode,
} from './problem.js';
export * from './problem-response.js';
export * from './queries.js';
export { PAGE_LIMIT_DEFAULT, PAGE_LIMIT_MAX, type AnswerPage } from './response-parts.js';
export { toldParameter } from './recipe-parameters.js';
export { readPreviewRequestWith } from './preview-request.js';
export { pinnedRecipe, readRecipe, recipeJson, RECIPE, type ReadRecipe } from './recipe.js';
export * from './draft-responses.js';
export * from './export-responses.js';
export * from './marker-responses.js';
export * from './store-responses.js';
export * from './alteration-responses.js';
export * from './outward-responses.js';
export {
  namedParts,
  readDraftRequestWith,
  type NamedParts,
  type StoredParts,
  type StoredRecipe,
} from './stored-parts.js';
export { jsonSchemaOf, type WireForm } from './wire-form.js';
