import type { Edge, Block } from '#pattern';
import { redrawing, type RedrawnPiece } from './redraw.js';
import { solveFit, type FitSolution } from './solve-fit.js';
import { readyBlock, type LevelHeights, type ReadyPiece } from './stations.js';
import type { FittingTargets } from './equations.js';
import type { FittingSettings } from './fitting-settings.js';

export function fitBlock(given: Block, targets: FittingTargets, settings: FittingSettings): { block: Block; solution: FitSolution; ready: ReturnType<typeof readyBlock> } {
  const ready = readyBlock(given);
  const levels = levelsFor(targets);
  const redraw = redrawing(ready);
  const task = { ready, redraw, targets, levels, settings };
  const solution = solveFit(task);
  const drawn = redraw(solution.amounts);
  const front = { ...ready.block.front, edges: edgesOf(ready.front, drawn.front) };
  const back = { ...ready.block.back, edges: edgesOf(ready.back, drawn.back) };
  const crotch = front.edges.find((e) => e.role === 'inseam')!.curve.p0.y;
  return { ready, block: { ...given, levels: { hip: levels.hip, knee: levels.knee, hem: levels.hem, crotch }, front, back }, solution };
}

function levelsFor(t: FittingTargets): LevelHeights {
  const depth = t.waistLevelMm - t.crotchLevelMm;
  const hip = Math.min(t.crotchLevelMm + 0.6 * depth, Math.max(t.crotchLevelMm + 0.26 * depth, t.bodyHipLevelMm));
  return { hem: t.hemLevelMm, knee: t.kneeLevelMm, crotch: t.crotchLevelMm, hip, waist: t.waistLevelMm };
}

function edgesOf(ready: ReadyPiece, drawn: RedrawnPiece): Edge[] {
  return ready.strands.map(({ edge }, i) => ({ ...edge, curve: drawn.curves[i] }));
}
