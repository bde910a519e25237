import { DRAFT_COLUMNS, toDocument, toDraft, toDraftFile } from './draft.js';
import type { DraftFile, DraftState, NewDraft, StoredDraft } from './draft.js';
import type { BodyId, DraftId, ShopId } from './ids.js';
import { toColumn, type JsonObject } from './json.js';
import { pageOf, windowOf, type Page, type PageRequest } from './page.js';
import { rows, type Session } from './session.js';

export interface DraftFilter {
  readonly state?: DraftState;
  readonly reference?: string;
  readonly bodyId?: BodyId;
}

/** Reading drafts, and taking new ones in. How a draft moves from state to state is in `DraftMoves`. */
export class DraftRepository {
  /** Errors  REFERENCE_MISSING when the body or block is not this shop's. */
  async insert(session: Session, shopId: ShopId, draft: NewDraft): Promise<StoredDraft> {
    const row = await rows(session).draft.create({
      data: {
        ...draft,
        shopId,
        request: toColumn(draft.request),
        state: 'accepted' satisfies DraftState,
        attempt: 0,
        sequence: 1,
        findingsInfo: 0,
        findingsWarning: 0,
        findingsStop: 0,
        updatedAt: draft.createdAt,
      },
      select: DRAFT_COLUMNS,
    });
    return toDraft(row);
  }

  async find(session: Session, shopId: ShopId, id: DraftId): Promise<StoredDraft | undefined> {
    const row = await rows(session).draft.findFirst({ where: { shopId, id }, select: DRAFT_COLUMNS });
    return row === null ? undefined : toDraft(row);
  }

  async findRequest(session: Session, shopId: ShopId, id: DraftId): Promise<JsonObject | undefined> {
    const row = await rows(session).draft.findFirst({ where: { shopId, id }, select: { request: true } });
    return row === null ? undefined : toDocument(row.request);
  }

  /** Undefined when there is no such draft or it has no result yet. */
  async findResult(session: Session, shopId: ShopId, id: DraftId): Promise<JsonObject | undefined> {
    const row = await rows(session).draft.findFirst({ where: { shopId, id }, select: { result: true } });
    return row === null ? undefined : toDocument(row.result);
  }

  async page(
    session: Session,
    shopId: ShopId,
    request: PageRequest,
    filter: DraftFilter = {},
  ): Promise<Page<StoredDraft>> {
    const { after, take, orderBy } = windowOf(request);
    const where = { shopId, ...filter, ...after };
    return pageOf(
      await rows(session).draft.findMany({ where, take, orderBy, select: DRAFT_COLUMNS }),
      request,
      toDraft,
    );
  }

  /** Drafts of all shops by state. For the service's gauges. */
  async countByState(session: Session): Promise<Readonly<Record<string, number>>> {
    const counts = await rows(session).draft.groupBy({ by: ['state'], _count: true });
    return Object.fromEntries(counts.map(({ state, _count }) => [state, _count]));
  }

  /** In the order of their names. Empty for another shop's draft. */
  async files(session: Session, shopId: ShopId, draftId: DraftId): Promise<readonly DraftFile[]> {
    const found = await rows(session).draftFile.findMany({
      where: { shopId, draftId },
      orderBy: { name: 'asc' },
    });
    return found.map(toDraftFile);
  }

  async findFile(
    session: Session,
    shopId: ShopId,
    draftId: DraftId,
    name: string,
  ): Promise<DraftFile | undefined> {
    const row = await rows(session).draftFile.findFirst({ where: { shopId, draftId, name } });
    return row === null ? undefined : toDraftFile(row);
  }

  /** Unfinished drafts of every shop that nothing has touched since `before`: their worker or their message is gone. */
  async stalled(
    session: Session,
    before: Date,
    countMax: number,
  ): Promise<readonly { readonly shopId: ShopId; readonly work: StoredDraft }[]> {
    const found = await rows(session).draft.findMany({
      where: { state: { in: ['accepted', 'working'] satisfies DraftState[] }, updatedAt: { lt: before } },
      orderBy: { updatedAt: 'asc' },
      take: countMax,
      select: { ...DRAFT_COLUMNS, shopId: true },
    });
    return found.map((row) => ({ shopId: row.shopId as ShopId, work: toDraft(row) }));
  }
}
