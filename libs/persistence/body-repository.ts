import type { Body as BodyRow } from './generated/client.js';
import type { BodyId, ShopId } from './ids.js';
import { fromColumn, toColumn, type JsonObject } from './json.js';
import { pageOf, windowOf, type Page, type PageRequest } from './page.js';
import { rows, type Session } from './session.js';

/** One person's measures under a pseudonym. Personal data: never logged, and gone with `eraseBody`. */
export interface StoredBody {
  readonly id: BodyId;
  /** The shop's own pseudonym for the person, one body each. Never a name. */
  readonly ref: string;
  readonly sex: 'female' | 'male' | 'unspecified';
  readonly insideLegTaken: 'taped' | 'pressed';
  /** Millimetres by measure name. */
  readonly measures: Readonly<Record<string, number>>;
  /** What fittings taught: alteration steps, in the order they apply. */
  readonly corrections: readonly JsonObject[];
  readonly createdAt: Date;
  readonly updatedAt: Date;
  /** End of the shop's retention time. */
  readonly eraseAfter?: Date;
}

export type BodyChange = Partial<
  Pick<StoredBody, 'sex' | 'insideLegTaken' | 'measures' | 'corrections' | 'eraseAfter'>
> &
  Pick<StoredBody, 'updatedAt'>;

export class BodyRepository {
  /** Errors  ALREADY_EXISTS when the shop has a body of that reference. */
  async insert(session: Session, shopId: ShopId, body: StoredBody): Promise<StoredBody> {
    const { measures, corrections } = body;
    const data = { ...body, shopId, measures: toColumn(measures), corrections: toColumn(corrections) };
    return toBody(await rows(session).body.create({ data }));
  }

  /** The id of the shop's body of that reference: the one that is there, else this one, now stored. */
  async insertIfNew(session: Session, shopId: ShopId, body: StoredBody): Promise<BodyId> {
    const found = await this.findByRef(session, shopId, body.ref);
    if (found !== undefined) return found.id;
    const { measures, corrections } = body;
    const data = { ...body, shopId, measures: toColumn(measures), corrections: toColumn(corrections) };
    const { count } = await rows(session).body.createMany({ data: [data], skipDuplicates: true });
    // Whoever was first has committed by now, or the statement above would still wait for it.
    return count === 1 ? body.id : ((await this.findByRef(session, shopId, body.ref))?.id ?? body.id);
  }

  async find(session: Session, shopId: ShopId, id: BodyId): Promise<StoredBody | undefined> {
    const row = await rows(session).body.findFirst({ where: { shopId, id } });
    return row === null ? undefined : toBody(row);
  }

  async findByRef(session: Session, shopId: ShopId, ref: string): Promise<StoredBody | undefined> {
    const row = await rows(session).body.findFirst({ where: { shopId, ref } });
    return row === null ? undefined : toBody(row);
  }

  /** All bodies of the shop, or the one of a reference. */
  async page(
    session: Session,
    shopId: ShopId,
    request: PageRequest,
    ref?: string,
  ): Promise<Page<StoredBody>> {
    const { after, take, orderBy } = windowOf(request);
    const where = { shopId, ...after, ...(ref === undefined ? {} : { ref }) };
    return pageOf(await rows(session).body.findMany({ where, take, orderBy }), request, toBody);
  }

  /** The changed body, or undefined when the shop has none of that id. */
  async update(
    session: Session,
    shopId: ShopId,
    id: BodyId,
    change: BodyChange,
  ): Promise<StoredBody | undefined> {
    const { measures, corrections, ...rest } = change;
    const data = {
      ...rest,
      ...(measures === undefined ? {} : { measures: toColumn(measures) }),
      ...(corrections === undefined ? {} : { corrections: toColumn(corrections) }),
    };
    const [row] = await rows(session).body.updateManyAndReturn({ where: { shopId, id }, data });
    return row === undefined ? undefined : toBody(row);
  }

  /** `update`, if the body has not changed since; undefined when it has, or is not there. */
  async updateUnchanged(
    session: Session,
    shopId: ShopId,
    id: BodyId,
    unchangedSince: Date,
    change: Required<Pick<BodyChange, 'sex' | 'insideLegTaken' | 'measures' | 'corrections'>> &
      Pick<BodyChange, 'updatedAt'>,
  ): Promise<StoredBody | undefined> {
    const [row] = await rows(session).body.updateManyAndReturn({
      where: { shopId, id, updatedAt: unchangedSince },
      data: {
        ...change,
        measures: toColumn(change.measures),
        corrections: toColumn(change.corrections),
      },
    });
    return row === undefined ? undefined : toBody(row);
  }

  /** Bodies of every shop whose time is over, the longest overdue first. For the retention job. */
  async dueForErasure(
    session: Session,
    now: Date,
    countMax: number,
  ): Promise<readonly { readonly shopId: ShopId; readonly id: BodyId }[]> {
    const due = await rows(session).body.findMany({
      where: { eraseAfter: { lte: now } },
      orderBy: { eraseAfter: 'asc' },
      take: countMax,
      select: { shopId: true, id: true },
    });
    return due.map(({ shopId, id }) => ({ shopId: shopId as ShopId, id: id as BodyId }));
  }
}

function toBody({ shopId: _, ...row }: BodyRow): StoredBody {
  const { eraseAfter, ...rest } = row;
  return {
    ...rest,
    id: row.id as BodyId,
    sex: row.sex as StoredBody['sex'],
    insideLegTaken: row.insideLegTaken as StoredBody['insideLegTaken'],
    measures: fromColumn(row.measures),
    corrections: fromColumn(row.corrections),
    ...(eraseAfter === null ? {} : { eraseAfter }),
  };
}
