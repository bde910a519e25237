export type * from './cut-piece.js';
export { FINISH_DEFAULTS, NOTCH_SHARE_MAX, type Allowances, type FinishRules } from './finish-rules.js';
export { finishBlock, type FinishedPattern } from './finish-block.js';
export { shapeHems } from './shape-hem.js';
export { grownForShrinkage, type Shrinkage } from './shrinkage.js';
export { footAtMm, runLengthMm, widthAtMm, type SeamFoot } from './seam-run.js';
