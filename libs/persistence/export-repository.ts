import { EXPORT_COLUMNS, toExport, type ExportState, type NewExport, type StoredExport } from './export.js';
import type { DraftId, ExportId, ShopId } from './ids.js';
import { toColumn } from './json.js';
import { pageOf, windowOf, type Page, type PageRequest } from './page.js';
import { rows, type Session } from './session.js';

/** Reading exports, and taking new ones in. How an export moves from state to state is in `ExportMoves`. */
export class ExportRepository {
  /** Errors  REFERENCE_MISSING when the draft is not this shop's. */
  async insert(session: Session, shopId: ShopId, asked: NewExport): Promise<StoredExport> {
    const begin = { state: 'accepted' satisfies ExportState, attempt: 0, sequence: 1 };
    const row = await rows(session).export.create({
      data: { ...asked, ...begin, shopId, request: toColumn(asked.request), updatedAt: asked.createdAt },
      select: EXPORT_COLUMNS,
    });
    return toExport(row);
  }

  async find(session: Session, shopId: ShopId, id: ExportId): Promise<StoredExport | undefined> {
    const row = await rows(session).export.findFirst({ where: { shopId, id }, select: EXPORT_COLUMNS });
    return row === null ? undefined : toExport(row);
  }

  /** The newest print of the draft by the same request that has not failed. */
  async findSame(
    session: Session,
    shopId: ShopId,
    draftId: DraftId,
    requestText: string,
  ): Promise<StoredExport | undefined> {
    const row = await rows(session).export.findFirst({
      where: { shopId, draftId, requestText, state: { not: 'failed' satisfies ExportState } },
      orderBy: { id: 'desc' },
      select: EXPORT_COLUMNS,
    });
    return row === null ? undefined : toExport(row);
  }

  async page(
    session: Session,
    shopId: ShopId,
    draftId: DraftId,
    request: PageRequest,
  ): Promise<Page<StoredExport>> {
    const { after, take, orderBy } = windowOf(request);
    const where = { shopId, draftId, ...after };
    const found = await rows(session).export.findMany({ where, take, orderBy, select: EXPORT_COLUMNS });
    return pageOf(found, request, toExport);
  }

  /** Unfinished exports of every shop that nothing has touched since `before`. */
  async stalled(
    session: Session,
    before: Date,
    countMax: number,
  ): Promise<readonly { readonly shopId: ShopId; readonly work: StoredExport }[]> {
    const found = await rows(session).export.findMany({
      where: { state: { in: ['accepted', 'working'] satisfies ExportState[] }, updatedAt: { lt: before } },
      orderBy: { updatedAt: 'asc' },
      take: countMax,
      select: { ...EXPORT_COLUMNS, shopId: true },
    });
    return found.map((row) => ({ shopId: row.shopId as ShopId, work: toExport(row) }));
  }
}
