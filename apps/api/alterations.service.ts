import { OPERATIONS } from '#alterations';
import {
  HOUSE_ALTERATIONS,
  nameTaken,
  pinnedRecipe,
  readRecipe,
  recipeJson,
  toldParameter,
  type AlterationAnswer,
  type AlterationDifferenceAnswer,
  type AlterationReadingAnswer,
  type AnswerPage,
  type ReadRecipe,
} from '#contracts';
import {
  PersistenceError,
  type AlterationRepository,
  type AlterationVersion,
  type JsonObject,
  type StoredAlteration,
  type Transaction,
} from '#persistence';
import { readingText, recipeDifference, recipeReading, type Recipe } from '#recipes';
import { ApiError, invalid, notFound } from './api-error.js';
import type { Caller } from './caller.js';
import type { Ground } from './ground.js';
import type { Once, OnceResult } from './once.js';
import { mappedPage, type PageQuery } from './mapped-page.js';
import { requireFound } from './require-id.js';

/** As the reference publishes it. */
const RECIPE_NAME = /^[a-z][a-z0-9-]{0,47}$/;

/** Keeps a shop's own recipes in versions: one is worked on, the published ones never change. */
export class AlterationsService {
  constructor(
    private readonly ground: Ground,
    private readonly alterations: AlterationRepository,
    private readonly once: Once,
  ) {}

  /**
   * A page of the shop's own, newest first, each in the version that drafts would use. Those of the house stand in front
   * of the first page, beyond its size: there are few, and they do not change.
   */
  async page(caller: Caller, query: PageQuery): Promise<AnswerPage<AlterationAnswer>> {
    const { session } = this.ground.database;
    const { items, ...more } = await mappedPage(
      query,
      (request) => this.alterations.page(session, caller.shopId, request),
      (stored) => this.newest(caller, stored),
    );
    const own = await Promise.all(items);
    const house = query.cursor === undefined ? [...HOUSE_ALTERATIONS.values()] : [];
    return {
      items: [
        ...house.map((recipe) => this.ofTheHouse(recipe)),
        ...own.map(({ recipe: _, ...answer }) => answer),
      ],
      ...more,
    };
  }

  /** With its recipe: the version asked for, or the newest published one, or the draft where none is. Errors  not-found. */
  async find(caller: Caller, name: string, version?: number): Promise<AlterationAnswer> {
    const recipe = HOUSE_ALTERATIONS.get(name);
    if (recipe !== undefined) {
      if (version !== undefined) throw new ApiError('not-found', noVersionsOf(name));
      return { ...this.ofTheHouse(recipe), recipe: recipeJson(recipe) as JsonObject };
    }
    const stored = await this.stored(caller, name);
    if (version === undefined) return this.newest(caller, stored);
    const { session } = this.ground.database;
    const found = await this.alterations.findVersion(session, caller.shopId, stored.id, version);
    return this.answer(stored, found ?? (await this.refuseVersion(caller, stored, version)));
  }

  /** Newest first. Errors  not-found. */
  async versions(caller: Caller, name: string): Promise<readonly AlterationAnswer[]> {
    const stored = await this.stored(caller, name);
    const found = await this.alterations.versions(this.ground.database.session, caller.shopId, stored.id);
    return found.map((version) => {
      const { recipe: _, ...answer } = this.answer(stored, version);
      return answer;
    });
  }

  /** Begin a recipe of the shop's own, as a draft. Errors  request-invalid, already-exists. */
  async create(
    caller: Caller,
    json: unknown,
    key: string | undefined,
  ): Promise<OnceResult<AlterationAnswer>> {
    const recipe = requireRecipe(json);
    const { newId, now } = this.ground;
    const asked = { key, action: 'alterations.create', input: json };
    const made = this.once.run(caller, asked, async (tx) => {
      const at = new Date(now());
      const stored = { id: newId('alteration'), name: recipe.name, createdAt: at };
      await this.alterations.insert(tx, caller.shopId, stored);
      const version = await this.alterations.saveDraft(tx, caller.shopId, stored.id, contentOf(recipe), at);
      return { answer: this.answer(stored, requireFound('alteration', version)), subjectId: stored.id };
    });
    return made.catch((error: unknown) => refuseSecond(recipe.name, error));
  }

  /** Change the draft, or begin the next one from what is sent. Errors  not-found, request-invalid. */
  async saveDraft(caller: Caller, name: string, json: unknown): Promise<AlterationAnswer> {
    const stored = await this.stored(caller, name);
    const recipe = requireRecipe(json, name);
    const version = await this.inTransaction((tx) =>
      this.alterations.saveDraft(tx, caller.shopId, stored.id, contentOf(recipe), this.at()),
    );
    return this.answer(stored, requireFound('alteration', version));
  }

  /** Take the draft into use, with the operations as they are today. Errors  not-found, state-conflict. */
  async publish(caller: Caller, name: string): Promise<AlterationAnswer> {
    const stored = await this.stored(caller, name);
    const published = await this.inTransaction((tx) =>
      this.alterations.publish(tx, caller.shopId, stored.id, pinnedContent, this.at()),
    );
    if (published === undefined) {
      throw new ApiError('state-conflict', `There is no draft of ${name} to publish. Save one first.`);
    }
    return this.answer(stored, published);
  }

  /** Take a version out of use; drafts made with it can be made again. Errors  not-found, state-conflict. */
  async retire(caller: Caller, name: string, version: number): Promise<AlterationAnswer> {
    const stored = await this.stored(caller, name);
    const { session } = this.ground.database;
    const retired = await this.alterations.retire(session, caller.shopId, stored.id, version, this.at());
    if (retired !== undefined) return this.answer(stored, retired);
    const found = await this.alterations.findVersion(session, caller.shopId, stored.id, version);
    const { state } = found ?? (await this.refuseVersion(caller, stored, version));
    if (state === 'retired') return this.find(caller, name, version);
    throw new ApiError('state-conflict', `Version ${version} of ${name} is a draft, which is not in use.`);
  }

  /** As numbered steps in trade words. Errors  not-found. */
  async reading(caller: Caller, name: string, version?: number): Promise<AlterationReadingAnswer> {
    const { recipe } = await this.find(caller, name, version);
    const reading = recipeReading(recipe as unknown as Recipe, OPERATIONS);
    const { title, summary, needs, parameters, steps } = reading;
    return {
      title,
      summary,
      needs: [...needs],
      parameters: parameters.map(({ text }) => text),
      steps: steps.map((step) => ({ ...step })),
      text: readingText(reading),
    };
  }

  /** What changed from one version to another. Errors  not-found. */
  async difference(
    caller: Caller,
    name: string,
    { from, to }: { readonly from: number; readonly to: number },
  ): Promise<AlterationDifferenceAnswer> {
    const [before, after] = await Promise.all([from, to].map((version) => this.find(caller, name, version)));
    const { about, parameters, steps } = recipeDifference(
      before.recipe as unknown as Recipe,
      after.recipe as unknown as Recipe,
      OPERATIONS,
    );
    const same = about.length + parameters.length + steps.length === 0;
    return { name, from, to, same, about: [...about], parameters: [...parameters], steps: [...steps] };
  }

  /** Says which versions there are. Errors  not-found, always. */
  private async refuseVersion(
    caller: Caller,
    { id, name }: StoredAlteration,
    version: number,
  ): Promise<never> {
    const there = await this.alterations.versions(this.ground.database.session, caller.shopId, id);
    throw new ApiError('not-found', noSuchVersion(name, version, there));
  }

  private async stored(caller: Caller, name: string): Promise<StoredAlteration> {
    const { session } = this.ground.database;
    // The database takes no NUL in a text, so what cannot be a name is not asked for.
    if (!RECIPE_NAME.test(name)) throw notFound('alteration');
    return requireFound('alteration', await this.alterations.findByName(session, caller.shopId, name));
  }

  private async newest(caller: Caller, stored: StoredAlteration): Promise<AlterationAnswer> {
    const { session } = this.ground.database;
    const published = await this.alterations.findVersion(session, caller.shopId, stored.id);
    const [last] =
      published === undefined ? await this.alterations.versions(session, caller.shopId, stored.id) : [];
    return this.answer(stored, requireFound('alteration', published ?? last));
  }

  private ofTheHouse(recipe: Recipe): AlterationAnswer {
    const { name, title, summary, parameters } = recipe;
    const told = parameters.map(toldParameter);
    return {
      name,
      title,
      summary,
      origin: 'house',
      state: 'published',
      parameters: told,
      links: this.links(name),
    };
  }

  private answer({ name }: StoredAlteration, found: AlterationVersion): AlterationAnswer {
    const { version, state, content, createdAt, publishedAt, retiredAt } = found;
    const recipe = content as unknown as ReadRecipe;
    return {
      name,
      title: recipe.title,
      summary: recipe.summary,
      origin: 'shop',
      state,
      version,
      parameters: recipe.parameters.map(toldParameter),
      recipe: { ...content },
      createdAt: createdAt.toISOString(),
      ...(publishedAt === undefined ? {} : { publishedAt: publishedAt.toISOString() }),
      ...(retiredAt === undefined ? {} : { retiredAt: retiredAt.toISOString() }),
      links: this.links(name, version),
    };
  }

  private links(name: string, version?: number): AlterationAnswer['links'] {
    const { links } = this.ground;
    const reading = links.to('alterations', name, 'reading');
    if (version === undefined) return { self: links.to('alterations', name), reading };
    return {
      self: links.to('alterations', name, 'versions', String(version)),
      reading: `${reading}?version=${version}`,
    };
  }

  private inTransaction<T>(work: (tx: Transaction) => Promise<T>): Promise<T> {
    return this.ground.database.unitOfWork.run(work);
  }

  private at(): Date {
    return new Date(this.ground.now());
  }
}

function requireRecipe(json: unknown, name?: string): ReadRecipe {
  const read = readRecipe(json);
  if (!read.ok) throw invalid('body', read.problems);
  const { value } = read;
  if (HOUSE_ALTERATIONS.has(value.name)) throw invalid('body', [nameTaken(['name'], value.name)]);
  if (name !== undefined && value.name !== name) throw invalid('body', [otherName(value.name, name)]);
  return value;
}

function refuseSecond(name: string, error: unknown): never {
  if (!(error instanceof PersistenceError) || error.code !== 'ALREADY_EXISTS') throw error;
  const detail = `There is a recipe "${name}" already. PUT /v1/alterations/${name}/draft saves its next version.`;
  throw new ApiError('already-exists', detail);
}

function noVersionsOf(name: string): string {
  return `${name} comes with the service and has no versions; leave the version out.`;
}

/** The newest of many are enough to see the slip. */
const VERSIONS_NAMED_MAX = 20;

function noSuchVersion(name: string, version: number, there: readonly AlterationVersion[]): string {
  const named = there.slice(0, VERSIONS_NAMED_MAX).map((one) => `${one.version} (${one.state})`);
  const more = there.length > named.length ? ` and ${there.length - named.length} before them` : '';
  return `${name} has no version ${version}. There is ${named.join(', ')}${more}.`;
}

function otherName(found: string, name: string) {
  return {
    pointer: '/name',
    code: 'CONFLICT' as const,
    found: JSON.stringify(found),
    allowed: { oneOf: [name] },
    message: `name is "${found}", and this is the recipe "${name}".`,
    action: 'Send its own name, or store it as another alteration.',
  };
}

/** As it was read; the versions of operations are written when it is published. */
function contentOf({ operations: _, ...recipe }: ReadRecipe): JsonObject {
  return recipeJson(recipe) as JsonObject;
}

function pinnedContent(content: JsonObject): JsonObject {
  return recipeJson(pinnedRecipe(content as unknown as ReadRecipe)) as JsonObject;
}
