type Follow = (signal: AbortSignal) => Promise<AsyncGenerator<object, void> | undefined>;

/**
 * The events of a subscription, each under the name of its field as GraphQL wants them.
 *
 * Its own iterator and not a generator: a generator that waits for the next change cannot be ended from outside
 * before that comes, and a client that hangs up would be followed for ever.
 */
export async function underField(field: string, follow: Follow): Promise<AsyncIterableIterator<object>> {
  const hangUp = new AbortController();
  const states = await follow(hangUp.signal);
  const end = async (): Promise<IteratorResult<object, void>> => {
    hangUp.abort();
    await states?.return();
    return { done: true, value: undefined };
  };
  const events: AsyncIterableIterator<object> = {
    next: async () => {
      const state = await states?.next();
      return state === undefined || state.done === true
        ? { done: true, value: undefined }
        : { done: false, value: { [field]: state.value } };
    },
    return: end,
    throw: end,
    [Symbol.asyncIterator]: () => events,
  };
  return events;
}
