/** How far the fork goes down: a share of the way from crotch line to knee line, or a length. */
export type Drop = { readonly fraction: number } | { readonly lengthMm: number };

/**
 * The parameters of the drop-crotch alteration, all of them.
 *
 * `cropMm` is negative for a longer leg. `waist` says whether the waist seam is brought back to the block's length.
 * `inseamTruing` says whose shape the back inseam has. `hemOpening` is open where a vent, a zip or a rib lets the
 * foot through: the hem then may be narrower than the foot.
 */
export interface DropCrotchParameters {
  readonly drop: Drop;
  readonly frontRiseExtensionMm: number;
  readonly backRiseExtensionMm: number;
  readonly hemInMm: number;
  readonly cropMm: number;
  readonly waist: 'restore' | 'leave';
  readonly inseamTruing: 'copy-front' | 'keep-back';
  readonly hemOpening: 'closed' | 'open';
}

/** The default amounts: common practice, no source. Whether the waist is restored depends on who made the block. */
export const DROP_CROTCH_DEFAULTS = {
  drop: { fraction: 0.5 },
  frontRiseExtensionMm: 15,
  backRiseExtensionMm: 10,
  hemInMm: 19,
  cropMm: 0,
  inseamTruing: 'copy-front',
  hemOpening: 'closed',
} as const satisfies Omit<DropCrotchParameters, 'waist'>;
