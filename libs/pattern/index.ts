export * from './finding.js';
export * from './measure-block.js';
export * from './moved.js';
export * from './outline.js';
export * from './pattern-error.js';
export * from './piece.js';
