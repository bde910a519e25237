export type { ClothToCut, GarmentToLay, LayingOrder, Roll } from './laying-order.js';
export { planLaying, type LayingAnswer, type LayingPlan, type PlannedCloth } from './plan-laying.js';
export { Laying, type LayingOptions, type LayingProgress } from './laying.js';
export { bestLaid, comparisonOf, requestOf, type LaidMarker, type LaidOrder } from './laid-order.js';
