import type { EdgeRole } from '#pattern';

/** Seams that are one run of edges; darts interrupt the waist. */
export const LEG_AND_HEM_SEAMS = ['rise', 'inseam', 'hem', 'outseam'] as const satisfies readonly EdgeRole[];
export type RunSeam = (typeof LEG_AND_HEM_SEAMS)[number];

export const LEG_SEAMS = ['inseam', 'outseam'] as const satisfies readonly EdgeRole[];
export type LegSeamName = (typeof LEG_SEAMS)[number];
