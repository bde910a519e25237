import { field, wrongType, type Read } from './field.js';

/** Text of one form, said in words. */
export function word(form: string, pattern: RegExp) {
  const allowed = { form };
  return field(
    allowed,
    (found): Read<string> =>
      typeof found === 'string' && pattern.test(found)
        ? { value: found }
        : {
            fault: {
              ...wrongType(found, allowed),
              code: typeof found === 'string' ? 'NOT_ALLOWED' : 'WRONG_TYPE',
            },
          },
    { type: 'string', pattern: pattern.source, description: form },
  );
}

const CODE_PATTERN = /^[A-Z][A-Z0-9_]{2,63}$/;

/** The code of a finding by its form; whether there is one of that name is another question. */
export const CODE = word('the code of a finding, like INSEAM_MISMATCH', CODE_PATTERN);

export function isCodeLike(text: string): boolean {
  return CODE_PATTERN.test(text);
}
