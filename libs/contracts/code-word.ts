import { CORRECTION_CODES, FINDING_CODES } from '#checking';
import { nearestName } from '#spelling';
import { field, notOneOf, wrongType, type Read } from './field.js';
import { foundInWords } from './problem.js';

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
const CODE_WORDS = 'the code of a finding, like INSEAM_MISMATCH';
const CODE_FORM = { type: 'string', pattern: CODE_PATTERN.source, description: CODE_WORDS };

/** The code of a finding by its form; whether there is one of that name is another question. */
export const CODE = field(
  { form: CODE_WORDS },
  (found): Read<string> => {
    if (typeof found === 'string' && isCodeLike(found)) return { value: found };
    const fault = wrongType(found, { form: CODE_WORDS });
    if (typeof found !== 'string') return { fault };
    const near = nearestName(found, Object.keys(FINDING_CODES));
    const hint = near === undefined ? {} : { action: `Did you mean "${near}"?` };
    return { fault: { ...fault, ...hint, code: 'NOT_ALLOWED' } };
  },
  CODE_FORM,
);

export function isCodeLike(text: string): boolean {
  return CODE_PATTERN.test(text);
}

/**
 * The code of a correction that some check offers. What no check of any pattern offers is a slip; what this one does not
 * offer only the check can say.
 */
export const CORRECTION = field(
  { oneOf: CORRECTION_CODES },
  (found): Read<string> => {
    if (typeof found === 'string' && CORRECTION_CODES.includes(found)) return { value: found };
    const fault = notOneOf(found, CORRECTION_CODES);
    const isFinding = typeof found === 'string' && Object.hasOwn(FINDING_CODES, found);
    const which = isFinding
      ? 'a finding that no check offers to correct'
      : 'which no check offers to correct';
    const isNamed = isFinding || fault.action.startsWith('Send');
    return {
      fault: {
        ...fault,
        says: `is ${foundInWords(found)}, ${which}`,
        action: isNamed ? `Send one of ${CORRECTION_CODES.join(', ')}.` : fault.action,
      },
    };
  },
  CODE_FORM,
);
