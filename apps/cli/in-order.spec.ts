import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { inChunks, inOrder } from './in-order.js';

describe('inOrder', () => {
  it('keeps the order of the items, whichever is done first, and runs no more than it may', async () => {
    const arbTurns = fc.array(fc.nat(6), { maxLength: 20 });
    await fc.assert(
      fc.asyncProperty(arbTurns, fc.integer({ min: 1, max: 5 }), async (turns, widthMax) => {
        let running = 0;
        let most = 0;
        const work = async (turn: number): Promise<number> => {
          running += 1;
          most = Math.max(most, running);
          for (let i = 0; i < turn; i++) await new Promise(setImmediate);
          running -= 1;
          return turn * 10;
        };
        expect(await all(inOrder(from(turns), work, widthMax))).toEqual(turns.map((turn) => turn * 10));
        expect(most).toBeLessThanOrEqual(widthMax);
      }),
    );
  });

  it('ends with the first failure and leaves no other one unheard', async () => {
    const fail = (item: number): Promise<number> => Promise.reject(new Error(`item ${item}`));
    await expect(all(inOrder(from([1, 2, 3]), fail, 3))).rejects.toThrow('item 1');
  });
});

describe('inChunks', () => {
  it('loses nothing and makes no list longer than asked', async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(fc.nat()), fc.integer({ min: 1, max: 9 }), async (items, size) => {
        const chunks = await all(inChunks(from(items), size));
        expect(chunks.flat()).toEqual(items);
        expect(chunks.slice(0, -1).every((chunk) => chunk.length === size)).toBe(true);
      }),
    );
  });
});

async function* from<Item>(items: readonly Item[]): AsyncGenerator<Item> {
  for (const item of items) yield await Promise.resolve(item);
}

async function all<Item>(source: AsyncIterable<Item>): Promise<Item[]> {
  const items: Item[] = [];
  for await (const item of source) items.push(item);
  return items;
}
