export * from './curve.js';
export * from './geometry-error.js';
export * from './outer-ring.js';
export * from './point.js';
export * from './ring-contains.js';
export * from './ring.js';
