/** The long runs that CI has no time for. */
export const IS_NIGHT = process.env['FORKLINE_NIGHTLY'] === '1';

/**
 * What every random test starts from.
 *
 * The same in every CI run, so that a red run is about the change and not about chance; another one each night, told
 * in the output. `FORKLINE_SEED=...` makes a run again.
 */
export const SEED = Number(process.env['FORKLINE_SEED'] ?? (IS_NIGHT ? Date.now() % 2 ** 31 : 20_261_128));
