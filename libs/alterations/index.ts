export type { AlterationResult, AlterationTolerances, Wearer, WearerMeasure } from './alteration-result.js';
export { correctBlock, type BlockCorrection } from './correct-block.js';
export { endBalanceLines } from './end-balance-lines.js';
export {
  Arguments,
  type Argument,
  type ArgumentKind,
  type Operated,
  type Operation,
  type OperationJob,
  type OperationScope,
  type OperationValue,
  type ResultKind,
} from './operation.js';
export { OPERATIONS } from './operations/catalogue.js';
export { done, refused, type Outcome } from './outcome.js';
export { reNotch } from './re-notch.js';
