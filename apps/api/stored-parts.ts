import { nameOf, namedParts, type StoredParts, type StoredRecipe } from '#contracts';
import {
  isId,
  type AlterationRepository,
  type BlockRepository,
  type BlockVersion,
  type BodyRepository,
  type Session,
  type ShopId,
  type StoredBody,
} from '#persistence';
import { storedBodyJson } from './bodies.mapper.js';

export interface PartRepositories {
  readonly bodies: BodyRepository;
  readonly blocks: BlockRepository;
  readonly alterations: AlterationRepository;
}

export interface FoundParts {
  /** For the reader of the request. */
  readonly stored: StoredParts;
  readonly body: StoredBody | undefined;
  readonly block: BlockVersion | undefined;
}

/** What is stored under the names a request has in place of a body, a block or a recipe. */
export async function findParts(
  { bodies, blocks, alterations }: PartRepositories,
  session: Session,
  shopId: ShopId,
  json: unknown,
): Promise<FoundParts> {
  const { bodyId = '', blockId = '', uses } = namedParts(json);
  const body = isId('body', bodyId) ? await bodies.find(session, shopId, bodyId) : undefined;
  const block = isId('block', blockId) ? await blocks.findVersion(session, shopId, blockId) : undefined;
  const recipes = new Map<string, StoredRecipe>();
  for (const use of new Set(uses)) recipes.set(use, await findRecipe(alterations, session, shopId, use));
  return {
    stored: { body: body === undefined ? undefined : storedBodyJson(body), block: block?.content, recipes },
    body,
    block,
  };
}

async function findRecipe(
  alterations: AlterationRepository,
  session: Session,
  shopId: ShopId,
  use: string,
): Promise<StoredRecipe> {
  const { name, version } = nameOf(use);
  const stored = await alterations.findByName(session, shopId, name);
  if (stored === undefined) return { not: 'there' };
  const newest = await alterations.findVersion(session, shopId, stored.id);
  const found =
    version === undefined ? newest : await alterations.findVersion(session, shopId, stored.id, version);
  if (found?.state === 'published') return { version: found.version, recipe: found.content };
  const hint = newest === undefined ? {} : { newest: newest.version };
  if (found === undefined) return version === undefined ? { not: 'published' } : { not: 'there', ...hint };
  return { not: found.state === 'retired' ? 'in-use' : 'published', ...hint };
}
