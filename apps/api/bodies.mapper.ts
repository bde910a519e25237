import type { BodyAnswer, Json } from '#contracts';
import type { StoredBody } from '#persistence';
import type { Links } from './links.js';

export function toBodyAnswer(body: StoredBody, links: Links): BodyAnswer {
  const { id, ref, sex, insideLegTaken, measures, corrections, createdAt, updatedAt } = body;
  return {
    id,
    ref,
    sex,
    insideLegTaken,
    measures: { ...measures },
    corrections: corrections as BodyAnswer['corrections'],
    createdAt: createdAt.toISOString(),
    updatedAt: updatedAt.toISOString(),
    links: { self: links.to('bodies', id) },
  };
}

/** As a draft request would have sent it. */
export function storedBodyJson({ ref, sex, insideLegTaken, measures, corrections }: StoredBody): Json {
  return { ref, sex, insideLegTaken, measures: { ...measures }, corrections: corrections as Json };
}
