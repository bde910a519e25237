export * from './render-pdf.js';
export * from './render-png.js';
