/** The first result, in the order of the choices, that is good enough; the last one when none is. */
export function firstThat<Choice, Result>(
  choices: readonly Choice[],
  make: (choice: Choice) => Result,
  isGoodEnough: (result: Result) => boolean,
): Result {
  for (const choice of choices.slice(0, -1)) {
    const result = make(choice);
    if (isGoodEnough(result)) return result;
  }
  return make(choices[choices.length - 1]);
}
