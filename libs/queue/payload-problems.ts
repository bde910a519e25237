import type { z } from 'zod';

/** All problems of a payload in one line, each with its JSON pointer. Never the values, which may be personal. */
export function pointersOf(error: z.ZodError): string {
  return error.issues
    .map((issue) => `/${issue.path.map(String).map(escapedToken).join('/')}: ${issue.message}`)
    .join('; ');
}

/** RFC 6901, section 3. */
function escapedToken(token: string): string {
  return token.replaceAll('~', '~0').replaceAll('/', '~1');
}
