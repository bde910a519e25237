const MODULUS = 2 ** 31 - 1;

/** Numbers from 0 to 1 that are the same in every run: the generator of Park and Miller (1988), from memory. */
export function numbersFrom(seed: number): () => number {
  // Nought would stay nought.
  let state = seed % MODULUS || 1;
  return () => {
    state = (state * 48271) % MODULUS;
    return state / MODULUS;
  };
}
