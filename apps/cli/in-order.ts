/**
 * Run `work` on every item, several at a time, and give the results in the order of the items.
 *
 * Memory is bounded: no more than `widthMax` items are taken from the source before the first of them is done. The
 * first failure ends it.
 */
export async function* inOrder<Item, Result>(
  source: AsyncIterable<Item>,
  work: (item: Item) => Promise<Result>,
  widthMax: number,
): AsyncGenerator<Result> {
  const started: Promise<Result>[] = [];
  for await (const item of source) {
    const result = work(item);
    // It may fail while another one is waited for; whoever waits for this one still hears of it.
    result.catch(() => undefined);
    started.push(result);
    if (started.length >= widthMax) yield await (started.shift() as Promise<Result>);
  }
  for (const result of started) yield await result;
}

/** Neighbouring items in lists of `size`; the last list may be shorter. */
export async function* inChunks<Item>(source: AsyncIterable<Item>, size: number): AsyncGenerator<Item[]> {
  let chunk: Item[] = [];
  for await (const item of source) {
    chunk.push(item);
    if (chunk.length < size) continue;
    yield chunk;
    chunk = [];
  }
  if (chunk.length > 0) yield chunk;
}
