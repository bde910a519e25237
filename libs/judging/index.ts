export * from './apply-rules.js';
export * from './compare-findings.js';
