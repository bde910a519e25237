import type { Metrics } from '#observability';
import type { Database, DraftRepository } from '#persistence';

/** The service's metrics, with the drafts counted when somebody asks. */
export class MetricsService {
  constructor(
    private readonly metrics: Metrics,
    { session }: Database,
    drafts: DraftRepository,
  ) {
    metrics.readFrom({ draftsByState: () => drafts.countByState(session) });
  }

  exposition(): Promise<{ readonly contentType: string; readonly text: string }> {
    return this.metrics.exposition();
  }
}
