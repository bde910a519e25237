/** Looks into JSON that nobody has checked yet; only what an object itself holds is there. */
export function isObject(found: unknown): found is Record<string, unknown> {
  return typeof found === 'object' && found !== null && !Array.isArray(found);
}

export function textAt(found: unknown, name: string): string | undefined {
  const value = valueAt(found, name);
  return typeof value === 'string' ? value : undefined;
}

export function numberAt(found: unknown, name: string): number | undefined {
  const value = valueAt(found, name);
  return typeof value === 'number' && Number.isFinite(value) ? value : undefined;
}

export function listAt(found: unknown, name: string): readonly unknown[] {
  const value = valueAt(found, name);
  return Array.isArray(value) ? (value as readonly unknown[]) : [];
}

function valueAt(found: unknown, name: string): unknown {
  return isObject(found) && Object.hasOwn(found, name) ? found[name] : undefined;
}
