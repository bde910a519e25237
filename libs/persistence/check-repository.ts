import { CHECK_COLUMNS, toCheck, type CheckState, type NewCheck, type StoredCheck } from './check.js';
import { toDocument, toDraftFile, type DraftFile } from './draft.js';
import type { CheckId, ShopId } from './ids.js';
import { toColumn, type JsonObject } from './json.js';
import { pageOf, windowOf, type Page, type PageRequest } from './page.js';
import { rows, type Session, type Transaction } from './session.js';

export interface CheckFilter {
  readonly state?: CheckState;
  readonly reference?: string;
  readonly styleId?: string;
  readonly versionId?: string;
}

/** Reading checks, and taking new ones in. How a check moves from state to state is in `CheckMoves`. */
export class CheckRepository {
  async insert(tx: Transaction, shopId: ShopId, { original, ...check }: NewCheck): Promise<StoredCheck> {
    const row = await rows(tx).check.create({
      data: {
        ...check,
        shopId,
        request: toColumn(check.request),
        state: 'accepted' satisfies CheckState,
        attempt: 0,
        sequence: 1,
        findingsInfo: 0,
        findingsWarning: 0,
        findingsStop: 0,
        updatedAt: check.createdAt,
      },
      select: CHECK_COLUMNS,
    });
    await rows(tx).checkFile.create({ data: { ...original, shopId, checkId: check.id } });
    return toCheck(row);
  }

  async find(session: Session, shopId: ShopId, id: CheckId): Promise<StoredCheck | undefined> {
    const row = await rows(session).check.findFirst({ where: { shopId, id }, select: CHECK_COLUMNS });
    return row === null ? undefined : toCheck(row);
  }

  /** Undefined when there is no such check or it has no result yet. */
  async findResult(session: Session, shopId: ShopId, id: CheckId): Promise<JsonObject | undefined> {
    const row = await rows(session).check.findFirst({ where: { shopId, id }, select: { result: true } });
    return row === null ? undefined : toDocument(row.result);
  }

  async page(
    session: Session,
    shopId: ShopId,
    request: PageRequest,
    filter: CheckFilter = {},
  ): Promise<Page<StoredCheck>> {
    const { after, take, orderBy } = windowOf(request);
    const where = { shopId, ...filter, ...after };
    const found = await rows(session).check.findMany({ where, take, orderBy, select: CHECK_COLUMNS });
    return pageOf(found, request, toCheck);
  }

  /** In the order of their names, the pattern as it came among them. Empty for another shop's check. */
  async files(session: Session, shopId: ShopId, checkId: CheckId): Promise<readonly DraftFile[]> {
    const found = await rows(session).checkFile.findMany({
      where: { shopId, checkId },
      orderBy: { name: 'asc' },
    });
    return found.map(toDraftFile);
  }

  async findFile(
    session: Session,
    shopId: ShopId,
    checkId: CheckId,
    name: string,
  ): Promise<DraftFile | undefined> {
    const row = await rows(session).checkFile.findFirst({ where: { shopId, checkId, name } });
    return row === null ? undefined : toDraftFile(row);
  }

  /** Unfinished checks of every shop that nothing has touched since `before`. */
  async stalled(
    session: Session,
    before: Date,
    countMax: number,
  ): Promise<readonly { readonly shopId: ShopId; readonly work: StoredCheck }[]> {
    const found = await rows(session).check.findMany({
      where: { state: { in: ['accepted', 'working'] satisfies CheckState[] }, updatedAt: { lt: before } },
      orderBy: { updatedAt: 'asc' },
      take: countMax,
      select: { ...CHECK_COLUMNS, shopId: true },
    });
    return found.map((row) => ({ shopId: row.shopId as ShopId, work: toCheck(row) }));
  }
}
