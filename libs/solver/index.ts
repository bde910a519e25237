export * from './least-deviation.js';
export * from './least-shortfall.js';
