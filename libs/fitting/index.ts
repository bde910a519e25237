export * from './fit-block.js';
export * from './fitting-settings.js';
export { characterChange } from './character.js';
export { CHANGES, CHANGE_NAMES } from './changes.js';
export type { FittingTargets } from './equations.js';
