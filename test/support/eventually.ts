/** Ask again until the answer is right, or fail with the last one. */
export async function eventually<T>(
  ask: () => Promise<T> | T,
  isRight: (answer: T) => boolean,
  withinMs: number,
): Promise<T> {
  const deadline = performance.now() + withinMs;
  for (;;) {
    const answer = await ask();
    if (isRight(answer)) return answer;
    if (performance.now() > deadline) {
      throw new Error(`not within ${withinMs} ms; the last answer was ${JSON.stringify(answer)}`);
    }
    await new Promise((resolve) => setTimeout(resolve, 25));
  }
}
