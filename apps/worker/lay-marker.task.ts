import type { TaskContext } from '#compute';
import type { DraftRequest, MarkerBudget, MarkerOrder } from '#contracts';
import { produceMarker, type MarkerMade } from '#deliverables';

export interface LayMarkerInput {
  readonly order: MarkerOrder;
  /** What its drafts were made from, in the order's order. */
  readonly drafts: readonly DraftRequest[];
  readonly engine: string;
  /** Whatever the budget: the search ends by then, with what it has. */
  readonly secondsMax: number;
}

export type MarkerEnd = 'budget' | 'time' | 'cancelled';

/** Runs in a thread of the compute pool. What is asked after each step is all that the clock has to do with it. */
export async function layMarkerTask(
  { order, drafts, engine, secondsMax }: LayMarkerInput,
  { progress, isToWrapUp }: TaskContext,
): Promise<{ readonly made: MarkerMade; readonly endedBy: MarkerEnd }> {
  const startedAt = performance.now();
  let endedBy: MarkerEnd = 'budget';
  const made = await produceMarker(order, drafts, engine, ({ stage, movesPerPiece, lengthMm }) => {
    const seconds = (performance.now() - startedAt) / 1000;
    const fraction = Math.min(1, fractionOf(order.budget, seconds, movesPerPiece));
    progress({ stage, fraction, figures: { lengthMm } });
    if (fraction === 1) return false;
    if (isToWrapUp()) endedBy = 'cancelled';
    else if (seconds >= secondsMax) endedBy = 'time';
    return endedBy === 'budget';
  });
  return { made, endedBy };
}

function fractionOf(budget: MarkerBudget, seconds: number, movesPerPiece: number): number {
  return 'seconds' in budget ? seconds / budget.seconds : movesPerPiece / budget.work;
}
