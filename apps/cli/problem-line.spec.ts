import { describe, expect, it } from '@jest/globals';
import { findingLine, problemLine } from './problem-line.js';

describe('problemLine', () => {
  const problem = {
    pointer: '/body/measures/waistGirth',
    code: 'OUT_OF_RANGE',
    found: '29',
    allowed: { min: 480, max: 1800, unit: 'mm' },
    message: 'It is below 480 mm.',
    action: 'Send millimetres.',
  } as const;

  it('says where, what, found, allowed and what to do', () => {
    expect(problemLine(problem)).toBe(
      '/body/measures/waistGirth: It is below 480 mm. Found: 29. Allowed: 480 to 1800 mm. Do: Send millimetres. [OUT_OF_RANGE]',
    );
  });

  it('stays on one line and steers no terminal, whatever was sent', () => {
    const line = problemLine({ ...problem, message: 'a\nb\u001b[2J\u009b1m' });
    expect(line).toContain('a\\u000ab\\u001b[2J\\u009b1m');
    expect(line).not.toMatch(/\p{Cc}/u);
    // Marks that turn the direction of what follows, or end a line without a line break.
    expect(problemLine({ ...problem, message: 'a\u202eb\u2028c\u200fd' })).toContain(
      'a\\u202eb\\u2028c\\u200fd',
    );
  });
});

describe('findingLine', () => {
  it('names the piece and the part', () => {
    const place = { piece: 'back', part: 'fork' } as const;
    expect(findingLine({ code: 'X', level: 'stop', message: 'It is off.', action: 'Mend it.', place })).toBe(
      'stop X (back fork): It is off. Do: Mend it.',
    );
  });
});
