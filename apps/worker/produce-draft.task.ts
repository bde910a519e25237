import type { TaskContext } from '#compute';
import type { DraftRequest } from '#contracts';
import { produceDeliverables, type Deliverables } from '#deliverables';

export interface ProduceDraftInput {
  readonly request: DraftRequest;
  readonly engine: string;
}

/** Runs in a thread of the compute pool. */
export function produceDraftTask(
  { request, engine }: ProduceDraftInput,
  { progress }: TaskContext,
): Promise<Deliverables> {
  return produceDeliverables(request, engine, progress);
}
