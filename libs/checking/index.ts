export * from './check-report.js';
export * from './check-settings.js';
export { checkPattern, type CheckedPattern } from './check-pattern.js';
export { checkContent } from './check-content.js';
export type { CheckSheetFacts } from './check-sheet-facts.js';
export { correctPattern, type CorrectedPattern } from './correct-pattern.js';
export {
  CORRECTION_CODES,
  FINDING_CODES,
  FINDING_SUBJECTS,
  TOLERANCE_NAMES,
  type FindingCode,
  type ToleranceName,
} from './finding-codes.js';
