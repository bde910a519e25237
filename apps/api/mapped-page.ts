import { PAGE_LIMIT_DEFAULT, type AnswerPage } from '#contracts';
import type { Page, PageRequest } from '#persistence';

export interface PageQuery {
  readonly limit?: number | undefined;
  readonly cursor?: string | undefined;
}

/** One page of stored things as a page of answers. */
export async function mappedPage<Stored, Answer>(
  { limit = PAGE_LIMIT_DEFAULT, cursor }: PageQuery,
  read: (request: PageRequest) => Promise<Page<Stored>>,
  toAnswer: (stored: Stored) => Answer,
): Promise<AnswerPage<Answer>> {
  const { items, next } = await read({ size: limit, cursor });
  return { items: items.map(toAnswer), ...(next === undefined ? {} : { next }) };
}
