import { solveBlock } from './solve-block.js';
import { targetsFor, type DraftingMeasures, type Ease } from './targets.js';
import type { YieldLimits } from './yielding.js';

/** A setting of the request that lets a refused body be drafted: what it was, and what is enough. */
export interface Remedy {
  /** As the request has it: "thigh" of `ease`. */
  readonly setting: 'waist' | 'hip' | 'thigh' | 'frontRise' | 'backRise' | 'depth';
  readonly fromMm: number;
  readonly toMm: number;
}

const EASE_OF = {
  waist: 'waistMm',
  hip: 'hipMm',
  thigh: 'thighMm',
  frontRise: 'frontRiseMm',
  backRise: 'backRiseMm',
  depth: 'depthMm',
} as const satisfies Record<Remedy['setting'], keyof Ease>;

/** What a request may ask for; a remedy beyond it is none. */
const RANGES: Readonly<Record<Remedy['setting'], { readonly min: number; readonly max: number }>> = {
  waist: { min: -300, max: 800 },
  hip: { min: -300, max: 800 },
  thigh: { min: -300, max: 800 },
  frontRise: { min: -60, max: 200 },
  backRise: { min: -60, max: 200 },
  depth: { min: -60, max: 200 },
};

/** How far a setting is moved, either way: each is one search. */
const BY_MM = [10, 30, 80, 200, 400] as const;

/**
 * The least change of one ease, to ten millimetres or the steps above, with which a block can be drawn; undefined where
 * none of them is enough, for then the measures themselves do not go together.
 *
 * Every change is tried, so what is named is enough. The settings are tried in the order given, each step of all of them
 * before the next.
 *
 * Cost  one search for each step, setting and direction: some tenths of a second when nothing helps.
 */
export function remedyFor(
  body: DraftingMeasures,
  ease: Ease,
  limits: YieldLimits,
  settings: readonly Remedy['setting'][],
): Remedy | undefined {
  for (const byMm of BY_MM)
    for (const setting of settings)
      for (const toMm of [ease[EASE_OF[setting]] + byMm, ease[EASE_OF[setting]] - byMm]) {
        const { min, max } = RANGES[setting];
        if (toMm < min || toMm > max) continue;
        const solved = solveBlock(targetsFor(body, { ...ease, [EASE_OF[setting]]: toMm }), limits);
        if (!('best' in solved)) return { setting, fromMm: ease[EASE_OF[setting]], toMm };
      }
  return undefined;
}
