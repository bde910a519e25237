import type { TaskContext } from '#compute';
import type { MarkerBudget } from '#contracts';
import {
  produceMarker,
  searchMarker,
  writeMarker,
  type MarkerFound,
  type MarkerJob,
  type MarkerMade,
} from '#deliverables';

export interface LayMarkerInput extends MarkerJob {
  readonly engine: string;
  /** Whatever the budget: the search ends by then, with what it has. */
  readonly secondsMax: number;
}

export interface SearchMarkerInput extends MarkerJob {
  readonly chain: number;
  readonly secondsMax: number;
}

export interface WriteMarkerInput extends MarkerJob {
  readonly engine: string;
  readonly found: Parameters<typeof writeMarker>[2];
}

export type MarkerEnd = 'budget' | 'time' | 'cancelled';

/** Runs in a thread of the compute pool, as all of these do: one search, and the files of what it found. */
export async function layMarkerTask(
  { engine, ...input }: LayMarkerInput,
  context: TaskContext,
): Promise<{ readonly made: MarkerMade; readonly endedBy: MarkerEnd }> {
  const { goesOn, endedBy } = searchWithin(input, context);
  const made = await produceMarker(input, engine, goesOn);
  return { made, endedBy: endedBy() };
}

/** One of several searches. */
export function searchMarkerTask(
  { chain, ...input }: SearchMarkerInput,
  context: TaskContext,
): { readonly found: MarkerFound; readonly endedBy: MarkerEnd } {
  const { goesOn, endedBy } = searchWithin(input, context);
  const found = searchMarker(input, chain, goesOn);
  return { found, endedBy: endedBy() };
}

/** The best of several searches, written. */
export function writeMarkerTask({ engine, found, ...job }: WriteMarkerInput): Promise<MarkerMade> {
  return writeMarker(job, engine, found);
}

interface Search {
  readonly goesOn: NonNullable<Parameters<typeof produceMarker>[2]>;
  readonly endedBy: () => MarkerEnd;
}

/** What is asked after each step is all that the clock has to do with a search. */
function searchWithin(
  { order, secondsMax }: Pick<LayMarkerInput, 'order' | 'secondsMax'>,
  { progress, isToWrapUp }: TaskContext,
): Search {
  const startedAt = performance.now();
  let end: MarkerEnd = 'budget';
  return {
    endedBy: () => end,
    goesOn: ({ stage, movesPerPiece, lengthMm }) => {
      const seconds = (performance.now() - startedAt) / 1000;
      const fraction = Math.min(1, fractionOf(order.budget, seconds, movesPerPiece));
      progress({ stage, fraction, figures: { lengthMm } });
      if (fraction === 1) return false;
      if (isToWrapUp()) end = 'cancelled';
      else if (seconds >= secondsMax) end = 'time';
      return end === 'budget';
    },
  };
}

function fractionOf(budget: MarkerBudget, seconds: number, movesPerPiece: number): number {
  return 'seconds' in budget ? seconds / budget.seconds : movesPerPiece / budget.work;
}
