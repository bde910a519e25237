import type { MarkerAnswer } from '#contracts';
import type { JsonObject, StoredMarker } from '#persistence';
import { toFindings } from './drafts.mapper.js';
import type { Links } from './links.js';

/** What a stored request says, as it was read when it was accepted. */
type Asked = Pick<MarkerAnswer, 'seconds' | 'work' | 'seed' | 'startFrom'> & {
  /** Missing in a request from before there were several. */
  readonly searches?: number;
  readonly drafts: readonly { readonly draftId: string; readonly quantity: number }[];
};

export function toMarkerAnswer(marker: StoredMarker, links: Links): MarkerAnswer {
  const { id, state, sequence, progress, lengthMm, findingCounts, reference, request } = marker;
  const { engineVersion, errorReason, createdAt, updatedAt, startedAt, finishedAt, cancelRequestedAt } =
    marker;
  const { drafts, seconds, work, seed, searches = 1, startFrom } = request as unknown as Asked;
  const at = links.to('markers', id);
  return {
    id,
    state,
    sequence,
    drafts: drafts.map(({ draftId, quantity }) => ({ draftId, quantity })),
    seed,
    searches,
    findingCounts: { ...findingCounts },
    createdAt: createdAt.toISOString(),
    updatedAt: updatedAt.toISOString(),
    links: { self: at, files: `${at}/files`, events: `${at}/events` },
    ...(progress === undefined
      ? {}
      : { progress: { ...progress, ...(lengthMm === undefined ? {} : { lengthMm }) } }),
    ...(seconds === undefined ? {} : { seconds }),
    ...(work === undefined ? {} : { work }),
    ...(startFrom === undefined ? {} : { startFrom }),
    ...(reference === undefined ? {} : { reference }),
    ...(engineVersion === undefined ? {} : { engineVersion }),
    ...(errorReason === undefined ? {} : { errorReason }),
    ...(cancelRequestedAt === undefined ? {} : { cancelRequestedAt: cancelRequestedAt.toISOString() }),
    ...(startedAt === undefined ? {} : { startedAt: startedAt.toISOString() }),
    ...(finishedAt === undefined ? {} : { finishedAt: finishedAt.toISOString() }),
  };
}

/** The figures and findings of a result, as the worker stored them. */
export function toMarkerResult(result: JsonObject | undefined): Pick<MarkerAnswer, 'result' | 'findings'> {
  const findings = toFindings(result);
  if (result === undefined || findings === undefined) return {};
  const { endedBy, markers, left, remnants } = result as unknown as NonNullable<MarkerAnswer['result']>;
  return { result: { endedBy, markers, left, remnants }, findings };
}
