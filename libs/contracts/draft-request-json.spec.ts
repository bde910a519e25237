import { createHash } from 'node:crypto';
import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { arbRequest, fromBody, read, withMeasures } from '../../test/support/draft-requests.js';
import { draftRequestHash, draftRequestText } from './index.js';

describe('draftRequestText', () => {
  it('can be sent again and means the same, whatever was left out', () => {
    fc.assert(
      fc.property(arbRequest(), (json) => {
        const request = read(json);
        const text = draftRequestText(request);
        expect(read(JSON.parse(text))).toEqual(request);
        expect(draftRequestText(read(JSON.parse(text)))).toBe(text);
      }),
    );
  });

  it('is the same for two requests that mean the same', () => {
    const typed = withMeasures({ waistGirth: '74 cm' }) as Record<string, unknown>;
    const spelled = { ease: 'regular', outputs: ['pattern', 'proof'], ...typed, confirm: [] };
    expect(draftRequestText(read(spelled))).toBe(draftRequestText(read(fromBody({}))));
  });

  it('is what the hash is taken of', () => {
    const request = read(fromBody({}));
    const expected = createHash('sha256')
      .update(Buffer.from(draftRequestText(request)))
      .digest('hex');
    expect(draftRequestHash(request)).toBe(expected);
    expect(draftRequestHash(read(fromBody({ reference: 'other' })))).not.toBe(expected);
  });
});
