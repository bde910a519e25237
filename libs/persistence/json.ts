import type { Prisma } from './generated/client.js';

export type Json = string | number | boolean | null | readonly Json[] | JsonObject;

export interface JsonObject {
  readonly [key: string]: Json;
}

/** For a column: Prisma's type is mutable and cannot hold ours, though the value is the same. */
export function toColumn(value: Json): Prisma.InputJsonValue {
  return value as Prisma.InputJsonValue;
}

/** From a column that only this library writes. */
export function fromColumn<T>(value: Prisma.JsonValue): T {
  return value as T;
}
