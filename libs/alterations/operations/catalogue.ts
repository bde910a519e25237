import type { Operation } from '../operation.js';
import { ADD_PIECE, CLOSE_UP, LAY_FLY, SET_NOTCH, TURN_UP_HEM } from './finish.js';
import { FIND_TAPER, MEASURE_ACROSS, MEASURE_BEND } from './measures.js';
import { CARRY_ON_ALONG, MEET_LEVEL, POINT_ON_SEAM } from './points.js';
import {
  COPY_SEAM,
  MATCH_SEAM,
  MOVE_SEAM_END,
  REDRAW_SEAM,
  SET_LENGTH,
  SHIFT_SEAM,
  STRAIGHTEN_OUTSEAM,
} from './seams.js';
import { BLEND_WAIST, FOLD_PLEAT, MOVE_WAIST, PIVOT_DART, RESIZE_WAIST, SWING_CENTRE } from './waist.js';

/** Every operation a recipe may use, by name. */
export const OPERATIONS: ReadonlyMap<string, Operation> = new Map(
  [
    CARRY_ON_ALONG,
    MEET_LEVEL,
    POINT_ON_SEAM,
    MEASURE_ACROSS,
    MEASURE_BEND,
    FIND_TAPER,
    SET_LENGTH,
    REDRAW_SEAM,
    MOVE_SEAM_END,
    STRAIGHTEN_OUTSEAM,
    SHIFT_SEAM,
    COPY_SEAM,
    MATCH_SEAM,
    BLEND_WAIST,
    RESIZE_WAIST,
    SWING_CENTRE,
    MOVE_WAIST,
    PIVOT_DART,
    FOLD_PLEAT,
    TURN_UP_HEM,
    ADD_PIECE,
    SET_NOTCH,
    LAY_FLY,
    CLOSE_UP,
  ].map((operation) => [operation.name, operation]),
);
