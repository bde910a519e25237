import { finishBlock } from '#finishing';
import type { Body } from '#measurements';
import { draftResult, type DraftOrder } from '#pipeline';
import { TRADE_RULES } from '#truing';
import { SOUND_RULES, type Sound } from './planted/fault.js';

/** Patterns of ours of which their own draft has nothing to say: half of them as drafted, half with the crotch dropped. */
export function soundPatterns(bodies: readonly Body[], count: number, next: () => number): Sound[] {
  const sound: Sound[] = [];
  for (let i = 0; sound.length < count && i < 4 * count; i++) {
    const pattern = finishedFor(
      bodies[i % bodies.length],
      sound.length % 2 === 0 ? undefined : 0.2 + 0.5 * next(),
    );
    const isSound = pattern?.truing.findings.every(({ level }) => level === 'info');
    if (pattern !== undefined && isSound === true) sound.push({ pattern, rules: SOUND_RULES });
  }
  return sound;
}

/** A body's trouser finished with fly, band and pockets; undefined where it cannot be drafted. */
export function finishedFor(body: Body, drop: number | undefined): Sound['pattern'] | undefined {
  const alterations: DraftOrder['alterations'] =
    drop === undefined
      ? []
      : [
          {
            use: 'drop-crotch',
            with: {
              drop: { share: drop },
              frontRiseExtension: 15,
              backRiseExtension: 10,
              hemIn: 10,
              crop: 0,
              waist: 'restore',
              inseamTruing: 'copy-front',
              hemOpening: 'open',
            },
          },
        ];
  const order: DraftOrder = {
    body,
    block: 'from-body',
    ease: { name: 'regular', overrides: {} },
    alterations,
    outputs: [],
  };
  const { finished } = draftResult(order);
  if (finished === undefined) return undefined;
  return finishBlock(
    finished.block,
    SOUND_RULES,
    { warp: 0, weft: 0 },
    { ...TRADE_RULES, lengthToleranceMm: 0.004 },
  );
}
