import type { Alteration as AlterationRow, AlterationVersion as VersionRow } from './generated/client.js';
import type { AlterationId, ShopId } from './ids.js';
import { fromColumn, toColumn, type JsonObject } from './json.js';
import { pageOf, windowOf, type Page, type PageRequest } from './page.js';
import { rows, type Session, type Transaction } from './session.js';

export interface StoredAlteration {
  readonly id: AlterationId;
  /** What a request says in `use`; one of each in a shop. */
  readonly name: string;
  readonly createdAt: Date;
}

/**
 * One version of a recipe. `draft` may still be changed; `published` is in use and fixed for ever, beside the versions
 * before it; `retired` was in use and stays readable for the drafts made with it.
 */
export interface AlterationVersion {
  readonly alterationId: AlterationId;
  readonly version: number;
  readonly state: 'draft' | 'published' | 'retired';
  readonly content: JsonObject;
  readonly createdAt: Date;
  readonly publishedAt?: Date;
  readonly retiredAt?: Date;
}

export class AlterationRepository {
  /** Errors  ALREADY_EXISTS when the shop has one of that name. */
  async insert(session: Session, shopId: ShopId, alteration: StoredAlteration): Promise<StoredAlteration> {
    return toAlteration(await rows(session).alteration.create({ data: { ...alteration, shopId } }));
  }

  async find(session: Session, shopId: ShopId, id: AlterationId): Promise<StoredAlteration | undefined> {
    const row = await rows(session).alteration.findFirst({ where: { shopId, id } });
    return row === null ? undefined : toAlteration(row);
  }

  async findByName(session: Session, shopId: ShopId, name: string): Promise<StoredAlteration | undefined> {
    const row = await rows(session).alteration.findFirst({ where: { shopId, name } });
    return row === null ? undefined : toAlteration(row);
  }

  async page(session: Session, shopId: ShopId, request: PageRequest): Promise<Page<StoredAlteration>> {
    const { after, take, orderBy } = windowOf(request);
    const found = await rows(session).alteration.findMany({ where: { shopId, ...after }, take, orderBy });
    return pageOf(found, request, toAlteration);
  }

  /** Put the content into the version being worked on, or begin one. Undefined when the shop has no such alteration. */
  async saveDraft(
    tx: Transaction,
    shopId: ShopId,
    id: AlterationId,
    content: JsonObject,
    now: Date,
  ): Promise<AlterationVersion | undefined> {
    if (!(await lock(tx, shopId, id))) return undefined;
    const where = { shopId, alterationId: id };
    const [changed] = await rows(tx).alterationVersion.updateManyAndReturn({
      where: { ...where, state: 'draft' },
      data: { content: toColumn(content) },
    });
    if (changed !== undefined) return toVersion(changed);
    const { _max } = await rows(tx).alterationVersion.aggregate({ where, _max: { version: true } });
    const begun = { ...where, version: (_max.version ?? 0) + 1, state: 'draft', createdAt: now };
    return toVersion(
      await rows(tx).alterationVersion.create({ data: { ...begun, content: toColumn(content) } }),
    );
  }

  /**
   * Take the version being worked on into use; versions before it stay in use. `pin` makes of its content what is kept
   * for ever. Undefined when none is worked on.
   */
  async publish(
    tx: Transaction,
    shopId: ShopId,
    id: AlterationId,
    pin: (content: JsonObject) => JsonObject,
    now: Date,
  ): Promise<AlterationVersion | undefined> {
    if (!(await lock(tx, shopId, id))) return undefined;
    const where = { shopId, alterationId: id, state: 'draft' };
    const draft = await rows(tx).alterationVersion.findFirst({ where });
    if (draft === null) return undefined;
    const content = toColumn(pin(fromColumn(draft.content)));
    const [published] = await rows(tx).alterationVersion.updateManyAndReturn({
      where,
      data: { state: 'published', publishedAt: now, content },
    });
    return published === undefined ? undefined : toVersion(published);
  }

  /** Take a published version out of use. Undefined when that one is not in use. */
  async retire(
    session: Session,
    shopId: ShopId,
    id: AlterationId,
    version: number,
    now: Date,
  ): Promise<AlterationVersion | undefined> {
    const [retired] = await rows(session).alterationVersion.updateManyAndReturn({
      where: { shopId, alterationId: id, version, state: 'published' },
      data: { state: 'retired', retiredAt: now },
    });
    return retired === undefined ? undefined : toVersion(retired);
  }

  /** The version asked for, whatever its state, or the newest published one. */
  async findVersion(
    session: Session,
    shopId: ShopId,
    alterationId: AlterationId,
    version?: number,
  ): Promise<AlterationVersion | undefined> {
    const which = version === undefined ? { state: 'published' } : { version };
    const row = await rows(session).alterationVersion.findFirst({
      where: { shopId, alterationId, ...which },
      orderBy: { version: 'desc' },
    });
    return row === null ? undefined : toVersion(row);
  }

  /** Newest first; a recipe has few. */
  async versions(
    session: Session,
    shopId: ShopId,
    alterationId: AlterationId,
  ): Promise<readonly AlterationVersion[]> {
    const found = await rows(session).alterationVersion.findMany({
      where: { shopId, alterationId },
      orderBy: { version: 'desc' },
    });
    return found.map(toVersion);
  }
}

async function lock(tx: Transaction, shopId: ShopId, id: AlterationId): Promise<boolean> {
  const found = await rows(tx).$queryRaw<unknown[]>`
    SELECT 1 FROM alterations WHERE shop_id = ${shopId} AND id = ${id} FOR NO KEY UPDATE`;
  return found.length === 1;
}

function toAlteration({ id, name, createdAt }: AlterationRow): StoredAlteration {
  return { id: id as AlterationId, name, createdAt };
}

function toVersion(row: VersionRow): AlterationVersion {
  return {
    alterationId: row.alterationId as AlterationId,
    version: row.version,
    state: row.state as AlterationVersion['state'],
    content: fromColumn(row.content),
    createdAt: row.createdAt,
    ...(row.publishedAt === null ? {} : { publishedAt: row.publishedAt }),
    ...(row.retiredAt === null ? {} : { retiredAt: row.retiredAt }),
  };
}
