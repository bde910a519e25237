/**
 * Accuracy of every length the service reports, guaranteed.
 *
 * The bracket that guarantees it is pessimistic: at 0.004 mm lengths come out within 0.0003 mm of the truth. Each
 * halving of it costs a third more time for the whole draft.
 */
export const LENGTH_TOLERANCE_MM = 0.004;

/** Accuracy of the lengths in the list of what moved, which is read to a tenth of a millimetre. */
export const RECORD_TOLERANCE_MM = 0.01;
