export { readBody } from './body.js';
export * from './draft-request.js';
export * from './draft-request-json.js';
export type { EaseRequest } from './ease-request.js';
export type { GivenBlock, GivenEdge, GivenPiece } from './given-block.js';
export { JSON_BYTES_MAX, readJsonText, textTooLarge } from './json-text.js';
export {
  JOB_PAYLOADS,
  MESSAGES,
  type JobPayload,
  type MessagePayload,
  type MessageTopic,
} from './messages.js';
export { nearestName } from './nearest-name.js';
export { allowedInWords, type Allowed, type Parsed, type Problem, type ProblemCode } from './problem.js';
