import type { Block as BlockRow, BlockVersion as BlockVersionRow } from './generated/client.js';
import type { BlockId, BodyId, ShopId } from './ids.js';
import { fromColumn, toColumn, type JsonObject } from './json.js';
import { pageOf, windowOf, type Page, type PageRequest } from './page.js';
import { rows, type Session, type Transaction } from './session.js';

export interface StoredBlock {
  readonly id: BlockId;
  readonly name: string;
  /** Whose it is, when it was made for one person: then it goes when the body is erased. */
  readonly bodyId?: BodyId;
  readonly createdAt: Date;
}

/** Versions are never changed: a draft made from version 2 can be made from it again. */
export interface BlockVersion {
  readonly blockId: BlockId;
  /** 1, 2, 3 ... */
  readonly version: number;
  readonly content: JsonObject;
  readonly createdAt: Date;
}

export class BlockRepository {
  async insert(
    tx: Transaction,
    shopId: ShopId,
    block: StoredBlock,
    content: JsonObject,
  ): Promise<BlockVersion> {
    await rows(tx).block.create({ data: { ...block, shopId } });
    const version = { shopId, blockId: block.id, version: 1, createdAt: block.createdAt };
    return toVersion(
      await rows(tx).blockVersion.create({ data: { ...version, content: toColumn(content) } }),
    );
  }

  /** Undefined when the shop has no such block. Two at once take numbers one after the other. */
  async addVersion(
    tx: Transaction,
    shopId: ShopId,
    id: BlockId,
    content: JsonObject,
    now: Date,
  ): Promise<BlockVersion | undefined> {
    const locked = await rows(tx).$queryRaw<unknown[]>`
      SELECT 1 FROM blocks WHERE shop_id = ${shopId} AND id = ${id} FOR NO KEY UPDATE`;
    if (locked.length === 0) return undefined;
    const { _max } = await rows(tx).blockVersion.aggregate({
      where: { shopId, blockId: id },
      _max: { version: true },
    });
    const version = { shopId, blockId: id, version: (_max.version ?? 0) + 1, createdAt: now };
    return toVersion(
      await rows(tx).blockVersion.create({ data: { ...version, content: toColumn(content) } }),
    );
  }

  async find(session: Session, shopId: ShopId, id: BlockId): Promise<StoredBlock | undefined> {
    const row = await rows(session).block.findFirst({ where: { shopId, id } });
    return row === null ? undefined : toBlock(row);
  }

  /** The version asked for, or the newest. */
  async findVersion(
    session: Session,
    shopId: ShopId,
    blockId: BlockId,
    version?: number,
  ): Promise<BlockVersion | undefined> {
    const which = version === undefined ? {} : { version };
    const row = await rows(session).blockVersion.findFirst({
      where: { shopId, blockId, ...which },
      orderBy: { version: 'desc' },
    });
    return row === null ? undefined : toVersion(row);
  }

  async page(session: Session, shopId: ShopId, request: PageRequest): Promise<Page<StoredBlock>> {
    const { after, take, orderBy } = windowOf(request);
    return pageOf(
      await rows(session).block.findMany({ where: { shopId, ...after }, take, orderBy }),
      request,
      toBlock,
    );
  }

  /** Drafts made from it keep their request and result. */
  async remove(session: Session, shopId: ShopId, id: BlockId): Promise<boolean> {
    return (await rows(session).block.deleteMany({ where: { shopId, id } })).count === 1;
  }
}

function toBlock({ id, name, bodyId, createdAt }: BlockRow): StoredBlock {
  return { id: id as BlockId, name, ...(bodyId === null ? {} : { bodyId: bodyId as BodyId }), createdAt };
}

function toVersion({ blockId, version, content, createdAt }: BlockVersionRow): BlockVersion {
  return { blockId: blockId as BlockId, version, content: fromColumn(content), createdAt };
}
