export { correctBlock, type BlockCorrection } from './correct-block.js';
export { dropCrotch } from './drop-crotch.js';
export {
  DROP_CROTCH_DEFAULTS,
  type AlterationResult,
  type AlterationTolerances,
  type Drop,
  type DropCrotchParameters,
  type Wearer,
} from './drop-crotch-parameters.js';
export { endBalanceLines } from './end-balance-lines.js';
export { reNotch } from './re-notch.js';
