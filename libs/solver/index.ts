export * from './least-deviation.js';
