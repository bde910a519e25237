export * from './check-ranges.js';
export { DOUBT_CODE, questionsOf, remarksOf, type MeasureRemark } from './doubts.js';
export { completeMeasures, type Estimate } from './estimate.js';
export * from './length.js';
export * from './measure.js';
export * from './measure-problem.js';
export * from './measurement-error.js';
export * from './ranges.js';
export { PRESSED_READS_HIGHER_MM } from './survey.js';
