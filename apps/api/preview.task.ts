import type { DraftRequest } from '#contracts';
import { previewDraft, type Preview } from '#pipeline';

/** Runs in a thread of the API's own pool. */
export function previewTask(request: DraftRequest): Preview {
  return previewDraft(request);
}
