export type Json =
  string | number | boolean | null | readonly Json[] | { readonly [key: string]: Json | undefined };

/**
 * The one text of a JSON value: no spaces, names sorted, numbers as ECMAScript writes them.
 *
 * Two requests that mean the same have the same bytes, so a hash of them can be compared and signed.
 *
 * Edges      fields that are undefined are left out.
 * Source     RFC 8785, JSON Canonicalization Scheme.
 */
export function canonicalJson(value: Json): string {
  return JSON.stringify(value, (_, inner: unknown) =>
    typeof inner === 'object' && inner !== null && !Array.isArray(inner)
      ? Object.fromEntries(Object.entries(inner).sort(([a], [b]) => (a < b ? -1 : 1)))
      : inner,
  );
}
