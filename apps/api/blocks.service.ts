import { blockJson, readBlock, type AnswerPage, type BlockAnswer, type GivenBlock } from '#contracts';
import type { BlockRepository, BlockVersion, JsonObject, StoredBlock } from '#persistence';
import { invalid } from './api-error.js';
import type { Caller } from './caller.js';
import type { Ground } from './ground.js';
import type { Links } from './links.js';
import { mappedPage, type PageQuery } from './mapped-page.js';
import type { Once, OnceResult } from './once.js';
import { requireFound, requireId } from './require-id.js';
import { requireVersion } from './require-version.js';

/** Keeps blocks in versions that never change. */
export class BlocksService {
  constructor(
    private readonly ground: Ground,
    private readonly blocks: BlockRepository,
    private readonly once: Once,
  ) {}

  /** Errors  request-invalid. */
  async create(caller: Caller, json: unknown, key: string | undefined): Promise<OnceResult<BlockAnswer>> {
    const given = requireBlock(json);
    const { newId, now, links } = this.ground;
    return this.once.run(caller, { key, action: 'blocks.create', input: json }, async (tx) => {
      const block = { id: newId('block'), name: given.name, createdAt: new Date(now()) };
      const version = await this.blocks.insert(tx, caller.shopId, block, contentOf(given));
      return { answer: toBlockAnswer(block, links, version), subjectId: block.id };
    });
  }

  /** Add a version; it is the one that drafts use from now on. Errors  not-found, request-invalid. */
  async addVersion(
    caller: Caller,
    id: string,
    json: unknown,
    key: string | undefined,
  ): Promise<OnceResult<BlockAnswer>> {
    const block = await this.stored(caller, id);
    const given = requireBlock(json);
    const input = { id, json };
    return this.once.run(caller, { key, action: 'blocks.add-version', input }, async (tx) => {
      const at = new Date(this.ground.now());
      const version = await this.blocks.addVersion(tx, caller.shopId, block.id, contentOf(given), at);
      const answer = toBlockAnswer(block, this.ground.links, requireFound('block', version));
      return { answer, subjectId: block.id };
    });
  }

  /** With the content of the newest version, or of the one asked for. Errors  not-found. */
  async find(caller: Caller, id: string, version?: string): Promise<BlockAnswer> {
    const block = await this.stored(caller, id);
    const wanted = version === undefined ? undefined : requireVersion('block', version);
    const { session } = this.ground.database;
    const found = await this.blocks.findVersion(session, caller.shopId, block.id, wanted);
    return toBlockAnswer(block, this.ground.links, requireFound('block', found));
  }

  page(caller: Caller, query: PageQuery): Promise<AnswerPage<BlockAnswer>> {
    return mappedPage(
      query,
      (request) => this.blocks.page(this.ground.database.session, caller.shopId, request),
      (block) => toBlockAnswer(block, this.ground.links),
    );
  }

  /** Drafts made from it stay as they are. Errors  not-found. */
  async remove(caller: Caller, id: string): Promise<void> {
    const removed = await this.blocks.remove(
      this.ground.database.session,
      caller.shopId,
      requireId('block', id),
    );
    requireFound('block', removed ? id : undefined);
  }

  private async stored(caller: Caller, id: string): Promise<StoredBlock> {
    const blockId = requireId('block', id);
    return requireFound(
      'block',
      await this.blocks.find(this.ground.database.session, caller.shopId, blockId),
    );
  }
}

function requireBlock(json: unknown): GivenBlock {
  const read = readBlock(json);
  if (!read.ok) throw invalid('body', read.problems);
  return read.value;
}

/** As it was understood, every length in mm, so that a draft made from it does not depend on how it was sent. */
function contentOf(block: GivenBlock): JsonObject {
  return JSON.parse(JSON.stringify(blockJson(block))) as JsonObject;
}

function toBlockAnswer(
  { id, name, createdAt }: StoredBlock,
  links: Links,
  shown?: BlockVersion,
): BlockAnswer {
  const self = links.to('blocks', id);
  return {
    id,
    name,
    createdAt: createdAt.toISOString(),
    links: { self, versions: `${self}/versions` },
    ...(shown === undefined ? {} : { version: shown.version, content: { ...shown.content } }),
  };
}
