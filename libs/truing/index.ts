export { fixesThatStand } from './fixes-that-stand.js';
export { askAboutSeam } from './seam-fixes.js';
export * from './true-block.js';
export * from './true-seams.js';
export * from './truing-report.js';
export * from './truing-rules.js';
