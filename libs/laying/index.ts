export type { ClothToCut, GarmentToLay, LayingOrder, Roll } from './laying-order.js';
export { planLaying, type LayingAnswer, type LayingPlan, type PlannedCloth } from './plan-laying.js';
export { Laying, type LayingOptions, type LayingProgress } from './laying.js';
export {
  bestLaid,
  comparisonOf,
  isCertified,
  requestOf,
  type LaidMarker,
  type LaidOrder,
} from './laid-order.js';
export { readEarlierMarkers, type EarlierMarker } from './earlier-marker.js';
export { laidFile } from './laid-file.js';
export {
  MARKER_OUTPUTS,
  markerFiles,
  type MarkerFiles,
  type MarkerOutput,
  type MarkerProvenance,
} from './marker-files.js';
export { markersToWrite, type MarkerToWrite } from './marker-to-write.js';
