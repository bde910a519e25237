/** Accuracy of every length the service reports: a tenth of what the seams are judged by, ten times finer than asked. */
export const LENGTH_TOLERANCE_MM = 0.001;
