import type { TaskContext } from '#compute';
import type { CheckWork } from '#contracts';
import { produceCheck, type CheckMade } from '#deliverables';

export interface CheckPatternInput {
  readonly work: CheckWork;
  readonly pattern: Uint8Array;
  readonly engine: string;
}

/** Runs in a thread of the compute pool. */
export function checkPatternTask(
  { work, pattern, engine }: CheckPatternInput,
  { progress }: TaskContext,
): Promise<CheckMade> {
  return produceCheck(work, pattern, engine, progress);
}
