export { fitBlock, type FittedBlock, type UnfittedBlock } from './fit-block.js';
export { fittedMeasures, type FitChange, type FittedMeasure } from './fit-record.js';
export {
  FITTING_DEFAULTS,
  fittingSettings,
  KEEPS,
  type Keep,
  type FittingSettings,
  type FittingSettingsSent,
} from './fitting-settings.js';
export type { ChangedLine } from './fit-findings.js';
export type { FittingTargets } from './equations.js';
