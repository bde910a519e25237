import { allowedInWords, type Problem } from '#contracts';
import type { Finding } from '#pattern';

/** A problem on one line: where, what, what was found, what may stand there, what to do. */
export function problemLine(
  { pointer, code, found, allowed, message, action }: Problem,
  place?: string,
): string {
  const where = place ?? (pointer === '' ? '(whole text)' : pointer);
  return oneLine(
    `${where}: ${message} Found: ${found}. Allowed: ${allowedInWords(allowed)}. Do: ${action} [${code}]`,
  );
}

export function findingLine({ code, level, message, action, place }: Finding): string {
  const where = [place?.piece, place?.part].filter((word) => word !== undefined).join(' ');
  return oneLine(`${level} ${code}${where === '' ? '' : ` (${where})`}: ${message} Do: ${action}`);
}

// Foreign text may hold line breaks, the codes that steer a terminal, or marks that turn a line round.
export function oneLine(text: string): string {
  return text.replaceAll(
    /[\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}]/gu,
    (letter) => `\\u${(letter.codePointAt(0) ?? 0).toString(16).padStart(4, '0')}`,
  );
}
