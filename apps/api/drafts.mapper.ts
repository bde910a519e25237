import type { DraftAnswer, DraftFileAnswer, ExportAnswer } from '#contracts';
import type { DraftFile, JsonObject, StoredDraft, StoredExport } from '#persistence';
import type { Links } from './links.js';

export function toDraftAnswer(draft: StoredDraft, links: Links): DraftAnswer {
  const { id, state, sequence, progress, findingCounts, reference, bodyId, blockId } = draft;
  const { requestHash, engineVersion, errorReason, createdAt, updatedAt, startedAt, finishedAt } = draft;
  const at = links.to('drafts', id);
  return {
    id,
    state,
    sequence,
    findingCounts: { ...findingCounts },
    requestHash,
    createdAt: createdAt.toISOString(),
    updatedAt: updatedAt.toISOString(),
    links: { self: at, files: `${at}/files`, events: `${at}/events` },
    ...(progress === undefined ? {} : { progress: { ...progress } }),
    ...(reference === undefined ? {} : { reference }),
    ...(bodyId === undefined ? {} : { bodyId }),
    ...(blockId === undefined ? {} : { blockId }),
    ...(engineVersion === undefined ? {} : { engineVersion }),
    ...(errorReason === undefined ? {} : { errorReason }),
    ...(startedAt === undefined ? {} : { startedAt: startedAt.toISOString() }),
    ...(finishedAt === undefined ? {} : { finishedAt: finishedAt.toISOString() }),
  };
}

export function toExportAnswer(stored: StoredExport, links: Links): ExportAnswer {
  const { id, draftId, state, sequence, progress, request, plan, file, engineVersion, errorReason } = stored;
  const { createdAt, updatedAt, startedAt, finishedAt } = stored;
  // As it was read when it was accepted.
  const { paper, layers } = request as unknown as Pick<ExportAnswer, 'paper' | 'layers'>;
  const at = links.to('exports', id);
  return {
    id,
    draftId,
    state,
    sequence,
    paper,
    layers: [...layers],
    createdAt: createdAt.toISOString(),
    updatedAt: updatedAt.toISOString(),
    links: { self: at, draft: links.to('drafts', draftId), events: `${at}/events` },
    ...(progress === undefined ? {} : { progress: { ...progress } }),
    ...(plan === undefined ? {} : { ...plan }),
    ...(file === undefined ? {} : { file: { ...file, href: `${at}/file` } }),
    ...(engineVersion === undefined ? {} : { engineVersion }),
    ...(errorReason === undefined ? {} : { errorReason }),
    ...(startedAt === undefined ? {} : { startedAt: startedAt.toISOString() }),
    ...(finishedAt === undefined ? {} : { finishedAt: finishedAt.toISOString() }),
  };
}

type FindingAnswer = NonNullable<DraftAnswer['findings']>[number];

/** What a result says in words. Places and numbers stay in draft.json, where the pieces are. */
export function toFindings(result: JsonObject | undefined): FindingAnswer[] | undefined {
  const findings = result?.['findings'];
  if (!Array.isArray(findings)) return undefined;
  return (findings as readonly FindingAnswer[]).map(toFinding);
}

export function toFinding({ code, level, message, action, pointer }: Readonly<FindingAnswer>): FindingAnswer {
  return { code, level, message, action, ...(pointer === undefined ? {} : { pointer }) };
}

export function toFileAnswer(draftId: string, file: DraftFile, links: Links): DraftFileAnswer {
  const { name, bytes, sha256, mediaType } = file;
  return { name, bytes, sha256, mediaType, href: links.to('drafts', draftId, 'files', name) };
}
