import { describe, expect, it } from '@jest/globals';
import { createIds, ID_PREFIXES, isId, type IdKind } from '#persistence';

const bytes = (value: number) => (count: number) => new Uint8Array(count).fill(value);

describe('createIds', () => {
  // The ULID specification's worked examples (ulid/spec, README): time part of 1469918176385, largest time.
  it.each([
    [1469918176385, '01ARYZ6S41'],
    [281474976710655, '7ZZZZZZZZZ'],
    [0, '0000000000'],
  ])('writes the time %d as the ULID specification does', (nowMs, time) => {
    const id = createIds({ now: () => nowMs, randomBytes: bytes(0) })('draft');
    expect(id).toBe(`drf_${time}${'0'.repeat(16)}`);
  });

  it('reads its random part as base 32, as BigInt does', () => {
    const random = new Uint8Array([1, 2, 3, 4, 5, 6, 7, 8, 9, 250]);
    const id = createIds({ now: () => 0, randomBytes: () => random })('body');
    // Crockford's digits for 0..31 beside JavaScript's own.
    const crockford = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';
    const own = BigInt(`0x${Buffer.from(random).toString('hex')}`)
      .toString(32)
      .padStart(16, '0');
    expect(id.slice(-16)).toBe([...own].map((digit) => crockford[parseInt(digit, 32)]).join(''));
  });

  it('sorts by when ids were made, also within one millisecond and when the clock steps back', () => {
    const times = [5, 5, 5, 7, 6, 6, 7, 8, 2, 8];
    const newId = createIds({ now: () => times.shift() ?? 9, randomBytes: bytes(200) });
    const ids = Array.from({ length: 12 }, () => newId('draft'));
    expect([...ids].sort()).toEqual(ids);
    expect(new Set(ids).size).toBe(12);
  });

  it('still counts up when the random part is at its end', () => {
    const newId = createIds({ now: () => 41, randomBytes: bytes(255) });
    const ids = [newId('draft'), newId('draft'), newId('draft')];
    expect([...ids].sort()).toEqual(ids);
    expect(ids[1]).toBe(`drf_000000001A${'0'.repeat(16)}`); // 42
  });

  it('gives every kind a prefix of its own, and tells them apart', () => {
    const newId = createIds({ now: () => 1, randomBytes: bytes(1) });
    const kinds = Object.keys(ID_PREFIXES) as IdKind[];
    for (const kind of kinds) {
      const id = newId(kind);
      expect(kinds.filter((other) => isId(other, id))).toEqual([kind]);
    }
    expect(isId('draft', 'drf_short')).toBe(false);
    expect(isId('draft', `drf_${'0'.repeat(25)}U`)).toBe(false);
    expect(isId('draft', `drf_8${'0'.repeat(25)}`)).toBe(false); // more than 128 bits
  });
});
