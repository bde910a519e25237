export type { Deliverable } from './deliverable.js';
export { engineVersion } from './engine-version.js';
export { markerDeliverables, type MarkerFolder } from './marker-deliverables.js';
export { MANIFEST_NAME, sha256, type Manifest } from './manifest.js';
export { produceDeliverables, type Deliverables, type ProductionStage } from './produce-deliverables.js';
export {
  produceMarker,
  searchMarker,
  writeMarker,
  type EarlierFile,
  type MarkerFound,
  type MarkerJob,
  type MarkerMade,
  type MarkerResult,
  type MarkerSummary,
} from './produce-marker.js';
export { produceCheck, type CheckMade, type CheckStage } from './produce-check.js';
export { producePrint, type PrintMade, type PrintPlan } from './produce-print.js';
