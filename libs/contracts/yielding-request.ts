import { fields, length } from './field.js';

/** How far a draft from the body may go from the tape, in mm either way; left out, as far as the block needs. */
export interface YieldingRequest {
  readonly splitMm?: number;
  readonly depthMm?: number;
}

/** Further than any body of the survey needs is a slip of unit; design choices, in mm. */
const SPLIT_MM = { min: 0, max: 100 };
const DEPTH_MM = { min: 0, max: 30 };

export const YIELDING = fields({
  split: length(SPLIT_MM).optional(),
  depth: length(DEPTH_MM).optional(),
}).transform(({ split, depth }): YieldingRequest => ({
  ...(split === undefined ? {} : { splitMm: split }),
  ...(depth === undefined ? {} : { depthMm: depth }),
}));
