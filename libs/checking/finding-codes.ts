import type { FindingLevel } from '#pattern';

/** What a check holds a pattern to, by the names under which a request or a profile may say it. */
export const TOLERANCE_NAMES = [
  'seamPair',
  'stretch',
  'dartLegs',
  'notch',
  'level',
  'corner',
  'square',
  'curve',
  'allowance',
  'kink',
  'mirror',
] as const;
export type ToleranceName = (typeof TOLERANCE_NAMES)[number];

/** What a finding is about: the parts of the table in docs/checking.md, in its order. */
export const FINDING_SUBJECTS = [
  'the file',
  'units and sizes',
  'pieces',
  'outlines',
  'marks',
  'allowances',
  'seams and corners',
  'grade rules',
  'what was asked',
  'a block sent as JSON',
] as const;

export interface FindingCode {
  readonly about: (typeof FINDING_SUBJECTS)[number];
  /** As the check gives it, before any rule of a profile; several where it depends on how far off. */
  readonly levels: readonly FindingLevel[];
  /** One line, in trade words. */
  readonly says: string;
  /** Which tolerances govern it; absent where it is fixed, or where there is nothing to measure. */
  readonly tolerances?: readonly ToleranceName[];
  /** A check may offer to correct it, by this code. */
  readonly isCorrectable?: true;
}

type Rest = Pick<FindingCode, 'tolerances' | 'isCorrectable'>;

const of =
  (about: FindingCode['about']) =>
  (levels: FindingLevel | readonly FindingLevel[], says: string, rest: Rest = {}): FindingCode => ({
    about,
    levels: typeof levels === 'string' ? [levels] : levels,
    says,
    ...rest,
  });

const file = of('the file');
const sizes = of('units and sizes');
const pieces = of('pieces');
const outlines = of('outlines');
const marks = of('marks');
const allowances = of('allowances');
const seams = of('seams and corners');
const rules = of('grade rules');
const asked = of('what was asked');
const block = of('a block sent as JSON');

const CORRECTABLE = { isCorrectable: true } as const;
const SEAM = { tolerances: ['seamPair'] } as const;
const CORNER = { tolerances: ['corner'] } as const;
const SQUARE = { tolerances: ['square'] } as const;
const EITHER = ['warning', 'stop'] as const;

/**
 * Every code that a check can give.
 *
 * A finding with a new code needs its line here: the table in docs/checking.md is written from it, and a profile that
 * names a code which is not here is refused. finding-codes.spec.ts finds what is missing.
 */
export const FINDING_CODES: Readonly<Record<string, FindingCode>> = {
  DXF_NOT_ASCII: file('stop', 'it is no ASCII DXF: binary, DWG, zip or empty'),
  DXF_EMPTY: file('stop', 'it holds no blocks and no entities'),
  DXF_NO_PIECES: file('stop', 'no line lies on layer 1, where cut lines lie'),
  DXF_CUT_OFF: file('stop', 'it ends before its end'),
  DXF_BROKEN_GROUP: file('stop', 'a line that should be a group code is none; nothing behind it was read'),
  DXF_NOT_A_NUMBER: file('stop', 'a coordinate or another number is none'),
  DXF_NO_PLACE: file('stop', 'an entity lacks a coordinate'),
  DXF_NOT_CLOSED: file('stop', 'a block, section or polyline has no end'),
  DXF_NO_BLOCK: file('stop', 'an INSERT names a block that is not there'),
  DXF_INSERT_SCALE: file('stop', 'an INSERT has a scale; it was read as 1'),
  DXF_INSERT_DEPTH: file('stop', 'blocks lie in each other too deep, or in themselves'),
  DXF_LONG_LINE: file('stop', 'a line of the text is too long'),
  DXF_TOO_LARGE: file('stop', 'it has more characters than are read'),
  DXF_TOO_MANY_GROUPS: file('stop', 'it has more groups than are read'),
  DXF_TOO_MANY_ENTITIES: file('stop', 'it has more entities than are read'),
  DXF_TOO_MANY_POINTS: file('stop', 'it has more points than are read'),
  DXF_TOO_MANY_PIECES: file('stop', 'it has more pieces than are read, or several cut lines in one block'),
  DXF_MORE_PROBLEMS: file('stop', 'more problems of the file than are listed'),
  PIECE_TOO_DENSE: file('stop', 'with this piece there is more in the file than can be compared'),
  TOO_MANY_POINTS: file('stop', 'a line has more points than are judged'),
  MORE_FINDINGS: file('info', 'more findings than are listed'),

  UNITS_MISSING: sizes('stop', 'the file does not say its unit; say it as `units`'),
  UNITS_DOUBTED: sizes(
    'stop',
    'by the unit of the file or the settings, the largest piece is none of a trouser',
  ),
  SIZE_UNKNOWN: sizes('stop', 'neither the file nor a table has the size that was asked for'),
  SIZE_NOT_MADE: sizes('stop', 'the table lacks rules that the points of the size asked for have'),
  UNITS_FROM_FILE: sizes('info', 'the file says another unit than the settings, and was read so'),
  SIZE_NOT_IN_FILE: sizes('warning', 'a size was asked of a file that has no sizes'),
  SIZES_NOT_JUDGED: sizes(
    'info',
    'the file, or its grade rule table, has more sizes than the one that was judged',
  ),

  ROLE_ASKED: pieces(
    'stop',
    'it is not clear what a piece is, or which way up it lies; say it under `kinds`',
  ),
  ROLE_DOUBTED: pieces(
    ['stop', 'warning'],
    'front and back are shaped the other way round than they are named',
  ),
  KIND_UNKNOWN_PIECE: pieces('warning', '`kinds` name a piece that is not there'),
  NO_WAISTBAND: pieces('info', 'no waistband was found: the waist was not compared with one'),
  LEGS_MISSING: pieces('stop', 'no front or no back was found: seams were not compared'),
  LEG_NOT_READ: pieces('stop', 'a front or back has not the corners of a leg'),
  LEG_NOT_JUDGED: pieces('stop', 'front and back could not be compared'),
  PIECE_NAME_MISSING: pieces('warning', 'a piece has no name'),
  PIECE_DOUBLED: pieces('warning', 'two pieces have one name and one size'),
  QUANTITY_MISSING: pieces('warning', 'a piece does not say how often it is cut'),
  PAIR_NOT_MIRRORED: pieces('stop', 'what is cut twice makes no pair of legs'),
  MIRRORED_PAIR_DIFFERS: pieces('stop', 'a left and a right are not each other mirrored', {
    tolerances: ['mirror'],
  }),
  PAIRS_NOT_COMPARED: pieces('warning', 'more pairs of left and right than are laid on each other'),

  OUTLINE_OPEN: outlines(
    EITHER,
    'a line is not closed; a warning of a sew line that could be judged as if it were',
  ),
  OUTLINE_CROSSES: outlines('stop', 'a line meets itself'),
  OUTLINE_REVERSED: outlines(EITHER, 'a line runs round the other way; of a block: a stop'),
  OUTLINE_KINK: outlines('warning', 'a curve has a kink, too small for a corner', { tolerances: ['kink'] }),
  OUTLINE_SLIVER: outlines('warning', 'a point too sharp to cut'),
  PIECE_SLIVER: outlines('stop', 'a line encloses next to nothing'),
  CURVE_UNFAIR: outlines('warning', 'a point stands out of the curve of its neighbours'),
  EDGE_SHORT: outlines('warning', 'a side too short to cut'),
  POINT_DOUBLED: outlines('warning', 'the same point twice'),
  POINT_OFF_LINE: outlines('warning', 'a turn or curve point lies off every line'),
  VALIDATION_CURVE_OFF: outlines('warning', 'the cut line lies off its own validation curve'),
  MIRROR_LINE_OFF: outlines('stop', 'no edge lies on the mirror line of a half piece: it was not unfolded'),

  GRAIN_MISSING: marks('stop', 'a piece has no grain line'),
  GRAIN_OUTSIDE: marks('warning', 'a grain line ends outside of its piece'),
  GRAIN_OFF_CREASE: marks('warning', 'the grain is not parallel to the crease'),
  NOTCH_OFF_EDGE: marks('warning', 'a notch does not lie on the cut line'),
  NOTCH_DOUBLED: marks('warning', 'two notches lie on each other'),
  NOTCH_OUTWARDS: marks('warning', 'a notch is cut outwards'),
  NOTCH_TOO_DEEP: marks(EITHER, 'a notch is cut nearly to the seam (warning), or through it (stop)'),
  DRILL_OUTSIDE: marks('stop', 'a drill hole lies outside of its piece'),
  DRILL_IN_ALLOWANCE: marks('warning', 'a drill hole lies in the allowance'),
  LINE_OUTSIDE: marks('warning', 'a line drawn on a piece runs out of it'),

  NO_SEW_LINE: allowances('info', 'no sew line on layer 14: the cut line was judged as the seam'),
  SEW_OUTSIDE_CUT: allowances('stop', 'a sew line lies outside of its cut line'),
  ALLOWANCE_NARROW: allowances('warning', 'an allowance is too narrow to hold'),
  ALLOWANCE_UNEVEN: allowances('warning', 'the width of an allowance jumps'),
  ALLOWANCE_CORNER: allowances('warning', 'allowances are not carried out to a corner'),
  ALLOWANCE_DIFFERS: allowances('warning', 'two edges that are sewn together have different allowances', {
    tolerances: ['allowance'],
  }),

  INSEAM_MISMATCH: seams('stop', 'front and back inseam differ in length', {
    tolerances: ['seamPair', 'stretch'],
    ...CORRECTABLE,
  }),
  OUTSEAM_MISMATCH: seams('stop', 'front and back side seam differ in length', { ...SEAM, ...CORRECTABLE }),
  CENTRE_FRONT_MISMATCH: seams('stop', 'left and right centre front differ in length', SEAM),
  CENTRE_BACK_MISMATCH: seams('stop', 'left and right centre back differ in length', SEAM),
  WAIST_SEAM_LONGER: seams('stop', 'the waist is longer than its band can take up'),
  WAISTBAND_SHORTER: seams('stop', 'the waist is shorter than its band'),
  DART_LEGS_UNEQUAL: seams('stop', 'the legs of a dart differ in length', {
    tolerances: ['dartLegs'],
    ...CORRECTABLE,
  }),
  FORK_ANGLE: seams('stop', 'the fork is not straight once sewn', { ...CORNER, ...CORRECTABLE }),
  SIDE_WAIST_ANGLE: seams('stop', 'the waist is not straight over the side seam', {
    ...CORNER,
    ...CORRECTABLE,
  }),
  SIDE_HEM_ANGLE: seams('stop', 'the hem is not straight over the side seam', CORNER),
  INSEAM_HEM_ANGLE: seams('stop', 'the hem is not straight over the inseam', CORNER),
  CENTRE_FRONT_WAIST_ANGLE: seams('stop', 'the waist is not square to the centre front', {
    ...SQUARE,
    ...CORRECTABLE,
  }),
  CENTRE_BACK_WAIST_ANGLE: seams('stop', 'the waist is not square to the centre back', {
    ...SQUARE,
    ...CORRECTABLE,
  }),
  WAIST_KINK_AT_DART: seams('warning', 'the waist has a kink where a dart is closed', {
    ...CORNER,
    ...CORRECTABLE,
  }),
  NOTCH_OFF: seams('warning', 'two notches that are sewn to each other do not meet', {
    tolerances: ['notch'],
  }),
  NOTCH_WITHOUT_PARTNER: seams('warning', 'a notch has no partner on the other piece'),
  BALANCE_LINE_OFF: seams(EITHER, 'two balance lines do not meet at the seam; of a block: a stop from 8 mm', {
    tolerances: ['level'],
  }),
  BAND_NOTCH_OFF: seams('warning', 'a notch of the band does not meet the seam of the waist'),
  WAIST_EASED: seams('info', 'the waist is longer than its band, by what can be eased in'),
  BAND_UNDERLAP_TAKEN: seams('info', 'a band is longer than the waist: taken for its underlap'),
  BAND_UNDERLAP_UNUSUAL: seams(['warning', 'info'], 'the underlap of a band is short, long or missing'),
  HEM_OPENING_SMALL: seams('stop', 'the hem is narrower than `hemOpening`'),
  SEAMS_NOT_COMPARED: seams('stop', 'a sew line is open: no seam of the trouser was compared'),
  SEAM_POINT_OFF: seams('stop', 'an end of a seam pair lies beside the seam line'),
  SEAM_PIECE_UNKNOWN: seams('stop', 'a seam pair names a piece that is not there'),
  STATED_SEAM_MISMATCH: seams('stop', 'the two stretches of a seam pair differ, beyond their `ease`', SEAM),

  GRADE_TABLE_NOT_SENT: rules('info', 'points have grade rules, and no table was sent'),
  GRADE_TABLE_OTHER: rules('warning', 'the pattern names another table'),
  GRADE_SAMPLE_OTHER: rules('warning', 'the pattern names another sample size'),
  GRADE_SAMPLE_MOVES: rules('warning', 'rules move points of the sample size itself'),
  GRADE_RULE_MISSING: rules('stop', 'a point names a rule that the table has not'),
  GRADE_RULES_UNUSED: rules('info', 'rules of the table stand at no point'),
  GRADE_RULE_OFF_POINT: rules('warning', 'a rule is written beside every point'),
  GRADE_POINT_WITHOUT_RULE: rules('warning', 'a turn point has no rule, while others have'),
  GRADE_PIECE_WITHOUT_RULES: rules('warning', 'a piece has no rules in a size that rules make'),
  GRADED_BY_RULES: rules('info', 'the size that was judged was made by the rules'),
  PIECE_NOT_GRADED: rules('stop', 'a piece has more than can be graded, and was left out'),
  RUL_UNITS: rules(EITHER, 'the table does not say its unit'),
  RUL_SIZES: rules(EITHER, 'the table has no usable list of sizes'),
  RUL_SAMPLE_SIZE: rules(EITHER, 'the sample size is none of the sizes of the table'),
  RUL_SIZE_COUNT: rules(EITHER, 'the table says another number of sizes than it names'),
  RUL_RULE: rules(EITHER, 'a rule has not one step for each size'),
  RUL_RULE_TWICE: rules(EITHER, 'a rule stands in the table twice'),
  RUL_NOT_A_NUMBER: rules(EITHER, 'a step of a rule is no number'),
  RUL_CUT_OFF: rules(EITHER, 'the table has no END'),
  RUL_TOO_LARGE: rules(EITHER, 'the table is larger than is read'),

  CORRECTION_NOT_OFFERED: asked('warning', 'a correction was asked for that this pattern does not need'),
  EASE_TO_SPREAD: asked('info', 'a correction is ease: the sewer has to be told, no point moved'),
  CORRECTION_NOT_DRAWN: asked('info', 'a piece with computed points cannot be corrected'),
  IGNORE_OVER: asked('info', 'what a profile ignored until some day is found again'),

  BLOCK_NOT_A_NUMBER: block('stop', 'a coordinate or a level is no number'),
  BLOCK_EDGE_ID_DOUBLED: block('stop', 'two edges have one id'),
  BLOCK_LEVELS_ORDER: block('stop', 'a level is not below the one above it'),
  BLOCK_LEVEL_MISSED: block('stop', 'a seam does not reach a level'),
  BLOCK_HEM_LEVELS_DIFFER: block('stop', 'front and back stand on different hem levels'),
  BLOCK_HEM_SLANTED: block('stop', 'a hem is not level'),
  BLOCK_HEM_LEVEL: block('stop', 'a hem lies off the hem level'),
  BLOCK_CROTCH_LEVEL: block('stop', 'the crotch level is not that of the front fork'),
  BLOCK_SEAM_PAIR: block('warning', 'two seams that are sewn to each other differ'),
  BLOCK_WAISTBAND: block('stop', 'the band has no length that a band can have'),
  BLOCK_OUTLINE_OPEN: block('stop', 'an outline is open'),
  BLOCK_OUTLINE_CROSSES: block('stop', 'an outline meets itself'),
  BLOCK_OUTLINE_REVERSED: block('stop', 'an outline runs round the other way'),
  BLOCK_POINT_DOUBLED: block('warning', 'the same point twice'),
  BLOCK_EDGE_SHORT: block('warning', 'an edge too short to cut'),
  BLOCK_SLIVER: block('warning', 'a point too sharp to cut'),
  BLOCK_DART_LEGS_ODD: block('stop', 'a dart leg has no partner'),
  BLOCK_DART_OUTSIDE: block('stop', 'a dart ends outside of its piece'),
  BLOCK_DART_LEGS_UNEQUAL: block('warning', 'the legs of a dart differ in length'),
  BLOCK_DART_PLACE: block('stop', 'a dart does not lie in the waist'),
  BLOCK_FORK_SIDE: block('stop', 'the fork lies on the outseam side of the crease'),
  BLOCK_CREASE_OUTSIDE_HEM: block('stop', 'the crease does not meet the hem'),
  BLOCK_NOTCH_EDGE: block('stop', 'a notch names an edge that is not there'),
  BLOCK_NOTCH_PAST_EDGE: block('stop', 'a notch lies past the end of its edge'),
  BLOCK_ROLE_MISSING: block('stop', 'an outline lacks a seam that a leg has'),
  BLOCK_ROLE_SPLIT: block('stop', 'a seam lies in two parts'),
  BLOCK_ROLE_ORDER: block('stop', 'the seams of an outline stand in another order'),
};

/** The codes that may be asked for as corrections. */
export const CORRECTION_CODES: readonly string[] = Object.keys(FINDING_CODES).filter(
  (code) => FINDING_CODES[code].isCorrectable,
);
