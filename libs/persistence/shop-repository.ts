import type { Shop as ShopRow } from './generated/client.js';
import type { ShopId } from './ids.js';
import { rows, type Session } from './session.js';

export interface Shop {
  readonly id: ShopId;
  readonly name: string;
  readonly createdAt: Date;
  /** Longest time a marker of this shop may be searched for; missing where only the service's own ceiling holds. */
  readonly markerSecondsMax?: number;
}

export class ShopRepository {
  async insert(session: Session, shop: Shop): Promise<Shop> {
    return toShop(await rows(session).shop.create({ data: shop }));
  }

  async find(session: Session, shopId: ShopId): Promise<Shop | undefined> {
    const row = await rows(session).shop.findUnique({ where: { id: shopId } });
    return row === null ? undefined : toShop(row);
  }
}

function toShop({ id, name, createdAt, markerSecondsMax }: ShopRow): Shop {
  return {
    id: id as ShopId,
    name,
    createdAt,
    ...(markerSecondsMax === null ? {} : { markerSecondsMax }),
  };
}
