export { certify, type CertificateFault, type CertificateOptions } from './certificate.js';
export { certifyMarker } from './certify-marker.js';
export { bestOf } from './coordinate.js';
export {
  MarkerEngine,
  type EngineOptions,
  type Marker,
  type MarkerProgress,
  type RefusedLayout,
} from './engine.js';
export {
  comparisonWith,
  figuresOf,
  type MarkerComparison,
  type MarkerFigures,
  type PreviousMarker,
} from './figures.js';
export { findTouch } from './simple-outline.js';
export { instancePointer, readInstance, toLayout, type InstanceAnswer, type Layout } from './instance.js';
export { MarkerError } from './marker-error.js';
export { planMarker, type MarkerAnswer, type MarkerPlan } from './plan-marker.js';
export * from './request.js';
export { layWholeGarments, type WholeGarments } from './whole-garments.js';
export { markerFile, outlineOnCloth } from './marker-file.js';
