import { remarksOf, type Body } from '#measurements';
import type { Finding } from '#pattern';

/** What is unusual about the measures of a body that is drafted all the same, for whoever signs the draft. */
export function measureFindings(body: Body): Finding[] {
  return remarksOf(body).map(({ code, measures, message, action, numbers }) => ({
    code,
    level: 'warning',
    message,
    action,
    pointer: `/body/measures/${measures[0]}`,
    numbers,
  }));
}
