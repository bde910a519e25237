import type { AuditEntry as AuditEntryRow } from './generated/client.js';
import type { AuditEntryId, ShopId } from './ids.js';
import { fromColumn, toColumn } from './json.js';
import { pageOf, windowOf, type Page, type PageRequest } from './page.js';
import { rows, type Session } from './session.js';

/** Who did what to which thing. Outlives the thing, so `details` never holds measures, geometry or hashes of them. */
export interface AuditEntry {
  readonly id: AuditEntryId;
  /** Noun and past verb, as events are named: `body.erased`. */
  readonly action: string;
  readonly subjectId: string;
  /** The API key that asked; missing when the service did it by itself. */
  readonly actorId?: string;
  readonly details: Readonly<Record<string, string | number | boolean>>;
  readonly createdAt: Date;
}

export class AuditRepository {
  async insert(session: Session, shopId: ShopId, entry: AuditEntry): Promise<void> {
    await rows(session).auditEntry.create({ data: { ...entry, shopId, details: toColumn(entry.details) } });
  }

  async page(
    session: Session,
    shopId: ShopId,
    subjectId: string,
    request: PageRequest,
  ): Promise<Page<AuditEntry>> {
    const { after, take, orderBy } = windowOf(request);
    const found = await rows(session).auditEntry.findMany({
      where: { shopId, subjectId, ...after },
      take,
      orderBy,
    });
    return pageOf(found, request, toAuditEntry);
  }
}

function toAuditEntry({ id, action, subjectId, actorId, details, createdAt }: AuditEntryRow): AuditEntry {
  return {
    id: id as AuditEntryId,
    action,
    subjectId,
    ...(actorId === null ? {} : { actorId }),
    details: fromColumn(details),
    createdAt,
  };
}
