export * from './svg-writer.js';
