import { ComputeError, tasksIn, type ComputePool } from '#compute';
import { readPreviewRequestWith, type DraftRequest, type PreviewAnswer } from '#contracts';
import { ApiError, invalid } from './api-error.js';
import type { Caller } from './caller.js';
import { toFinding } from './drafts.mapper.js';
import type { Ground } from './ground.js';
import { findParts, type PartRepositories } from './stored-parts.js';

const TASK = tasksIn<typeof import('./preview.task.js')>(new URL('./preview.task.js', import.meta.url))(
  'previewTask',
);

/** Nobody would wait for an answer after the process was told to end. */
const CLOSE_GRACE_MS = 200;

/** Draws pieces for a person who is trying amounts. Nothing is kept. */
export class PreviewsService {
  constructor(
    private readonly ground: Ground,
    private readonly repositories: PartRepositories,
    private readonly pool: ComputePool,
    private readonly deadlineMs: number,
  ) {}

  /** Errors  request-invalid, service-unavailable (as many wait as may). Ends early when `signal` is raised. */
  async make({ shopId }: Caller, json: unknown, signal: AbortSignal): Promise<PreviewAnswer> {
    const { session } = this.ground.database;
    const { stored } = await findParts(this.repositories, session, shopId, json);
    const read = readPreviewRequestWith(json, stored);
    if (!read.ok) throw invalid('body', read.problems);
    return this.compute(read.request, signal);
  }

  close(): Promise<void> {
    return this.pool.close({ graceMs: CLOSE_GRACE_MS });
  }

  private async compute(request: DraftRequest, signal: AbortSignal): Promise<PreviewAnswer> {
    try {
      const preview = await this.pool.run(TASK, request, { deadlineMs: this.deadlineMs, signal });
      const { answer, pieces, levels, measures, sewable, findings } = preview;
      return {
        answer,
        pieces: pieces.map(({ role, edges }) => ({ role, edges: edges.map(toEdge) })),
        ...(levels === undefined ? {} : { levels: roundedAll(levels) }),
        ...(measures === undefined ? {} : { measures: roundedAll(measures) }),
        ...(sewable === undefined ? {} : { sewable }),
        findings: findings.map(toFinding),
      };
    } catch (error) {
      // Nobody reads it, and no log need tell of a slider that was moved on.
      if (signal.aborted) throw new ApiError('request-malformed', 'The caller has hung up.');
      if (!(error instanceof ComputeError) || !error.retryable) throw error;
      const detail = 'The service draws as many previews as it can at the moment. Send it again in a second.';
      throw new ApiError('service-unavailable', detail, { headers: { 'Retry-After': '1' } });
    }
  }
}

type Edge = PreviewAnswer['pieces'][number]['edges'][number];
type DrawnEdge = { readonly role: string } & (
  { readonly line: readonly (readonly number[])[] } | { readonly cubic: readonly (readonly number[])[] }
);

function toEdge(edge: DrawnEdge): Edge {
  const points = (list: readonly (readonly number[])[]) => list.map((point) => point.map(rounded));
  return 'line' in edge
    ? { role: edge.role, line: points(edge.line) }
    : { role: edge.role, cubic: points(edge.cubic) };
}

function roundedAll(lengths: object): Record<string, number> {
  return Object.fromEntries(Object.entries(lengths).map(([name, mm]) => [name, rounded(mm as number)]));
}

/** To 1e-6 mm, as every file has them. */
function rounded(mm: number): number {
  return Math.round(mm * 1e6) / 1e6 + 0;
}
