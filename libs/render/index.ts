export * from './render-png.js';
