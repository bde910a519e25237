export { draftBlock, type DraftedBlock, type RefusedBlock } from './draft-block.js';
export { TRADE_WORDS, type Parameter } from './parameters.js';
export { targetsFor, type DraftingMeasures, type Ease, type Targets } from './targets.js';
