import type { Block, Notch } from '#pattern';
import { fromHemMm, type SeamWalk } from './seam-walk.js';
import type { NotchCheck } from './truing-report.js';
import type { TruingRules } from './truing-rules.js';

/**
 * Notches of one seam that carry the same name on front and back: are they as far from the hem on both?
 *
 * Notches are what the machinist matches, so the seam distance counts, not the level. Where a name is on one seam
 * only there is nothing to compare; `lonelyNotches` names it.
 */
export function checkNotches(
  block: Block,
  seam: { readonly front: SeamWalk; readonly back: SeamWalk },
  rules: TruingRules,
): NotchCheck[] {
  const onBack = placed(seam.back, block.back.notches);
  return placed(seam.front, block.front.notches).flatMap(({ name, distanceMm: frontFromHemMm }) => {
    const partner = onBack.find((notch) => notch.name === name);
    if (partner === undefined) return [];
    const backFromHemMm = partner.distanceMm;
    const difference = backFromHemMm - frontFromHemMm;
    const state = Math.abs(difference) <= rules.notchMm ? ('ok' as const) : ('off' as const);
    return [{ name, frontFromHemMm, backFromHemMm, difference, allowed: rules.notchMm, state }];
  });
}

/** Named notches of a seam without a partner of that name on the other piece. */
export function lonelyNotches(
  block: Block,
  seam: { readonly front: SeamWalk; readonly back: SeamWalk },
): { readonly piece: 'front' | 'back'; readonly name: string }[] {
  const onFront = placed(seam.front, block.front.notches).map((notch) => notch.name);
  const onBack = placed(seam.back, block.back.notches).map((notch) => notch.name);
  return [
    ...onFront.filter((name) => !onBack.includes(name)).map((name) => ({ piece: 'front' as const, name })),
    ...onBack.filter((name) => !onFront.includes(name)).map((name) => ({ piece: 'back' as const, name })),
  ];
}

function placed(
  walk: SeamWalk,
  notches: readonly Notch[],
): { readonly name: string; readonly distanceMm: number }[] {
  return notches.flatMap(({ edgeId, fromStartMm, name }) => {
    const index = walk.edges.findIndex((edge) => edge.id === edgeId);
    return index < 0 || name === undefined ? [] : [{ name, distanceMm: fromHemMm(walk, index, fromStartMm) }];
  });
}
