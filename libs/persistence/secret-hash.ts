import { createHash } from 'node:crypto';

/** 256 bits: so many that a plain hash cannot be searched backwards, and a slow one would only slow us. */
export const SECRET_BYTES = 32;

/** A secret that is shown once: a word that says what it is, and 43 characters of random bytes. */
export function secretText(prefix: string, random: Uint8Array): string {
  if (random.length < SECRET_BYTES) throw new RangeError(`${random.length} bytes, ${SECRET_BYTES} needed`);
  return `${prefix}_${Buffer.from(random).toString('base64url')}`;
}

/** What is kept of a secret. */
export function secretHash(secret: string): Uint8Array<ArrayBuffer> {
  return new Uint8Array(createHash('sha256').update(secret).digest());
}
