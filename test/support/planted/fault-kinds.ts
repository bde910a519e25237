import { ALLOWANCE_FAULTS } from './allowance-faults.js';
import { BAND_FAULTS, BAND_READING_FAULTS } from './band-faults.js';
import type { FaultKind } from './fault.js';
import { FILE_FAULTS } from './file-faults.js';
import { MARK_FAULTS } from './mark-faults.js';
import { NOTCH_FAULTS } from './notch-faults.js';
import { OUTLINE_FAULTS } from './outline-faults.js';
import { SEAM_FAULTS } from './seam-faults.js';

/** What a step or a dent in a cut line does besides: to the fairness of the line and to its allowance. */
const DENTED = [
  'CURVE_UNFAIR',
  'ALLOWANCE_UNEVEN',
  'ALLOWANCE_DIFFERS',
  'ALLOWANCE_NARROW',
  'NOTCH_OFF_EDGE',
];

/** By the name of a kind. */
const FOLLOWS: Readonly<Record<string, readonly string[]>> = {
  // The end of a seam cannot be moved without turning the seam beside it.
  'inseam too long or short': ['CENTRE_BACK_WAIST_ANGLE', 'FORK_ANGLE'],
  // The allowances of front and back are led to one end, over whatever the corner is off.
  'side waist corner off': ['CURVE_UNFAIR'],
  // The cut line is drawn from the kinked seam, with a step of its own.
  'waist kinked over its dart': ['EDGE_SHORT'],
  // Bent, a seam changes its length and leaves the line that ended on it.
  'inseam kinked': ['INSEAM_MISMATCH', 'LINE_OUTSIDE'],
  'allowance too narrow': DENTED,
  'allowance jumps': DENTED,
  'seam outside of the cut line': [...DENTED, 'LINE_OUTSIDE'],
  'allowance gone at a corner': [...DENTED, 'EDGE_SHORT', 'OUTLINE_SLIVER'],
  spike: DENTED,
  'outline crosses itself': [...DENTED, 'OUTLINE_SLIVER'],
  'curve point out of line': DENTED,
  // A knee line that is carried on ends elsewhere, also along the seam.
  'inner line runs out': ['BALANCE_LINE_OFF'],
  'right is not left mirrored': DENTED,
  // What stood behind the fault in the file is not there, the unit with it.
  'file cut off': ['DXF_NOT_CLOSED', 'UNITS_MISSING'],
  'line lost': ['UNITS_MISSING'],
  // A vertex without its coordinate leaves its line a point short.
  'a word for a number': [
    ...DENTED,
    'POINT_OFF_LINE',
    'SEW_OUTSIDE_CUT',
    'GRAIN_OUTSIDE',
    'LINE_OUTSIDE',
    'ALLOWANCE_CORNER',
  ],
  // Without its turn point a slight corner is one of the points of a curve.
  'turn point off its line': ['CURVE_UNFAIR'],
  // The grain line was made the mirror line.
  'mirror line beside the fold': ['GRAIN_MISSING'],
  'piece without width': ['NO_SEW_LINE'],
};

/** Every kind of fault that is planted. */
export const FAULT_KINDS: readonly FaultKind[] = [
  ...SEAM_FAULTS,
  ...NOTCH_FAULTS,
  ...ALLOWANCE_FAULTS,
  ...OUTLINE_FAULTS,
  ...MARK_FAULTS,
  ...BAND_FAULTS,
  ...FILE_FAULTS,
  ...BAND_READING_FAULTS,
].map((kind) => {
  const follows = FOLLOWS[kind.name];
  return follows === undefined ? kind : { ...kind, follows };
});
