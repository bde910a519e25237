import { toDocument, toDraftFile, type DraftFile } from './draft.js';
import type { MarkerId, ShopId } from './ids.js';
import { toColumn, type JsonObject } from './json.js';
import { MARKER_COLUMNS, toMarker, type MarkerState, type NewMarker, type StoredMarker } from './marker.js';
import { pageOf, windowOf, type Page, type PageRequest } from './page.js';
import { rows, type Session, type Transaction } from './session.js';

export interface MarkerFilter {
  readonly state?: MarkerState;
  readonly reference?: string;
}

/** Reading markers, and taking new ones in. How a marker moves from state to state is in `MarkerMoves`. */
export class MarkerRepository {
  /** Errors  REFERENCE_MISSING when a draft is not this shop's. */
  async insert(tx: Transaction, shopId: ShopId, { draftIds, ...marker }: NewMarker): Promise<StoredMarker> {
    const row = await rows(tx).marker.create({
      data: {
        ...marker,
        shopId,
        request: toColumn(marker.request),
        state: 'accepted' satisfies MarkerState,
        attempt: 0,
        sequence: 1,
        findingsInfo: 0,
        findingsWarning: 0,
        findingsStop: 0,
        updatedAt: marker.createdAt,
      },
      select: MARKER_COLUMNS,
    });
    await rows(tx).markerDraft.createMany({
      data: draftIds.map((draftId) => ({ shopId, markerId: marker.id, draftId })),
    });
    return toMarker(row);
  }

  async find(session: Session, shopId: ShopId, id: MarkerId): Promise<StoredMarker | undefined> {
    const row = await rows(session).marker.findFirst({ where: { shopId, id }, select: MARKER_COLUMNS });
    return row === null ? undefined : toMarker(row);
  }

  /** Undefined when there is no such marker or it has no result yet. */
  async findResult(session: Session, shopId: ShopId, id: MarkerId): Promise<JsonObject | undefined> {
    const row = await rows(session).marker.findFirst({ where: { shopId, id }, select: { result: true } });
    return row === null ? undefined : toDocument(row.result);
  }

  async page(
    session: Session,
    shopId: ShopId,
    request: PageRequest,
    filter: MarkerFilter = {},
  ): Promise<Page<StoredMarker>> {
    const { after, take, orderBy } = windowOf(request);
    const where = { shopId, ...filter, ...after };
    const found = await rows(session).marker.findMany({ where, take, orderBy, select: MARKER_COLUMNS });
    return pageOf(found, request, toMarker);
  }

  /** In the order of their names. Empty for another shop's marker. */
  async files(session: Session, shopId: ShopId, markerId: MarkerId): Promise<readonly DraftFile[]> {
    const found = await rows(session).markerFile.findMany({
      where: { shopId, markerId },
      orderBy: { name: 'asc' },
    });
    return found.map(toDraftFile);
  }

  async findFile(
    session: Session,
    shopId: ShopId,
    markerId: MarkerId,
    name: string,
  ): Promise<DraftFile | undefined> {
    const row = await rows(session).markerFile.findFirst({ where: { shopId, markerId, name } });
    return row === null ? undefined : toDraftFile(row);
  }

  /** Unfinished markers of every shop that nothing has touched since `before`. */
  async stalled(
    session: Session,
    before: Date,
    countMax: number,
  ): Promise<readonly { readonly shopId: ShopId; readonly work: StoredMarker }[]> {
    const found = await rows(session).marker.findMany({
      where: { state: { in: ['accepted', 'working'] satisfies MarkerState[] }, updatedAt: { lt: before } },
      orderBy: { updatedAt: 'asc' },
      take: countMax,
      select: { ...MARKER_COLUMNS, shopId: true },
    });
    return found.map((row) => ({ shopId: row.shopId as ShopId, work: toMarker(row) }));
  }
}
