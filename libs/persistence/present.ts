type Present<T> = { [K in keyof T]?: Exclude<T[K], null> };

/** What the database has no value for is left out, not null. */
export function present<T extends object>(values: T): Present<T> {
  return Object.fromEntries(Object.entries(values).filter(([, value]) => value !== null)) as Present<T>;
}
