export { draftBlock, type DraftedBlock, type RefusedBlock } from './draft-block.js';
export { TRADE_WORDS, type Parameter } from './parameters.js';
export { targetsFor, type DraftingMeasures, type Ease, type Targets } from './targets.js';
export type { YieldInWords } from './yield-words.js';
export type { YieldLimits } from './yielding.js';
