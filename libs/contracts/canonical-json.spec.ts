import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { canonicalJson, type Json } from './canonical-json.js';

describe('canonicalJson', () => {
  it('writes the example of RFC 8785, section 3.2', () => {
    const sent = `{
      "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
      "string": "\\u20ac$\\u000F\\u000aA'\\u0042\\u0022\\u005c\\\\\\"\\/",
      "literals": [null, true, false]
    }`;
    expect(canonicalJson(JSON.parse(sent) as Json)).toBe(
      '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],' +
        '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}',
    );
  });

  it('keeps the value and forgets the order of its names', () => {
    const arbRecord = fc.dictionary(fc.stringMatching(/^[a-z]{1,8}$/), fc.jsonValue({ maxDepth: 3 }));
    fc.assert(
      fc.property(arbRecord, (record) => {
        const backwards = Object.fromEntries(Object.entries(record).reverse());
        expect(canonicalJson(backwards as Json)).toBe(canonicalJson(record));
        expect(JSON.parse(canonicalJson(record as Json))).toEqual(JSON.parse(JSON.stringify(record)));
      }),
    );
  });

  it('leaves out what is undefined', () => {
    expect(canonicalJson({ b: undefined, a: 1 })).toBe('{"a":1}');
  });
});
