export { engineVersion } from './engine-version.js';
export { markerDeliverables, type MarkerFolder } from './marker-deliverables.js';
export { MANIFEST_NAME, sha256, type Manifest } from './manifest.js';
export {
  produceDeliverables,
  type Deliverable,
  type Deliverables,
  type ProductionStage,
} from './produce-deliverables.js';
