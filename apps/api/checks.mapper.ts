import type { CheckAnswer, CheckFindingAnswer } from '#contracts';
import type { JsonObject, StoredCheck } from '#persistence';
import type { Links } from './links.js';

/** What a stored request says, as it was written when it was accepted. */
type Asked = Pick<CheckAnswer, 'name' | 'correct' | 'outputs' | 'judgedOn' | 'profiles'>;

export function toCheckAnswer(check: StoredCheck, links: Links): CheckAnswer {
  const { id, state, sequence, progress, findingCounts, request, engineVersion, errorReason } = check;
  const { reference, styleId, versionId, createdAt, updatedAt, startedAt, finishedAt } = check;
  const { name, correct, outputs, judgedOn, profiles } = request as unknown as Asked;
  const at = links.to('checks', id);
  return {
    id,
    state,
    sequence,
    findingCounts: { ...findingCounts },
    profiles: profiles.map((profile) => ({ name: profile.name, version: profile.version })),
    judgedOn,
    correct: [...correct],
    outputs: [...outputs],
    createdAt: createdAt.toISOString(),
    updatedAt: updatedAt.toISOString(),
    links: { self: at, files: `${at}/files`, events: `${at}/events` },
    ...(name === undefined ? {} : { name }),
    // How far it had come when it ended is no news.
    ...(progress === undefined || finishedAt !== undefined ? {} : { progress: { ...progress } }),
    ...(reference === undefined ? {} : { reference }),
    ...(styleId === undefined ? {} : { styleId }),
    ...(versionId === undefined ? {} : { versionId }),
    ...(engineVersion === undefined ? {} : { engineVersion }),
    ...(errorReason === undefined ? {} : { errorReason }),
    ...(startedAt === undefined ? {} : { startedAt: startedAt.toISOString() }),
    ...(finishedAt === undefined ? {} : { finishedAt: finishedAt.toISOString() }),
  };
}

type Result = NonNullable<CheckAnswer['result']>;

/** Null where the worker wrote null: in an answer such a field is left out. */
type Stored<T> = { readonly [K in keyof T]: T[K] | null };

/** What was found, as the worker stored it. */
export function toCheckResult(result: JsonObject | undefined): Result | undefined {
  if (result === undefined) return undefined;
  const { sewable, judged, findings, pieces, corrections, moved } = result as unknown as Result;
  return {
    sewable,
    judged,
    findings: findings.map(toFindingAnswer),
    pieces: pieces.map(({ piece, name, kind, basis, confidence }) => ({
      piece,
      name,
      kind,
      basis,
      confidence,
    })),
    corrections: corrections.map(
      ({ code, words, piece, part, byMm }: Stored<Result['corrections'][number]>) => ({
        code: code ?? '',
        words: words ?? '',
        part: part ?? '',
        byMm: byMm ?? 0,
        ...(piece == null ? {} : { piece }),
      }),
    ),
    moved: moved.map(({ operation, part, byMm, ...rest }: Stored<Result['moved'][number]>) => {
      const { piece, beforeMm, afterMm } = rest;
      return {
        operation: operation ?? '',
        ...(piece == null ? {} : { piece }),
        part: part ?? '',
        byMm: byMm ?? 0,
        ...(beforeMm == null ? {} : { beforeMm }),
        ...(afterMm == null ? {} : { afterMm }),
      };
    }),
  };
}

export function toFindingAnswer(finding: CheckFindingAnswer): CheckFindingAnswer {
  const { number, code, level, message, action, place, numbers, basis } = finding;
  const { tolerance, correction, rule } = finding as Stored<CheckFindingAnswer>;
  const { piece, part, at, line } = place;
  return {
    number,
    code,
    level,
    message,
    action,
    place: {
      ...(piece === undefined ? {} : { piece }),
      ...(part === undefined ? {} : { part }),
      ...(at === undefined ? {} : { at: { x: at.x, y: at.y } }),
      ...(line === undefined ? {} : { line }),
    },
    numbers: { ...numbers },
    basis,
    ...(tolerance == null ? {} : { tolerance: { value: tolerance.value, unit: tolerance.unit } }),
    ...(correction == null ? {} : { correction }),
    ...(rule == null ? {} : { rule: { ...rule } }),
  };
}
