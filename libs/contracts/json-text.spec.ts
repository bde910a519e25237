import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { JSON_BYTES_MAX, readJsonText } from './json-text.js';

describe('readJsonText', () => {
  it.each([
    ['{"waist": NaN}', '/waist', 'At line 1, column 11 NaN is not JSON.', /JSON has no NaN: send a number/],
    ['{"a": -Infinity}', '/a', 'At line 1, column 7 -Infinity is not JSON.', /no -Infinity/],
    ['{\n  "a": 1,\n}', '', 'At line 3, column 1 "}" is not expected there.', /comma before }/],
    ['{"a": [1 2]}', '/a/0', 'At line 1, column 10 "2" is not expected there.', /comma or ]/],
    ["{'a': 1}", '', 'At line 1, column 2 "\'" is not expected there.', /double quotes/],
    ['// body\n{}', '', 'At line 1, column 1 "/" is not expected there.', /comments/],
    ['{"a": {"b": 1', '/a/b', 'At line 1, column 14 the text ends too soon.', /Close what is open with }/],
    [' ', '', 'At line 1, column 2 the text is empty.', /Send a JSON object/],
    ['{"a": "x\ny"}', '/a', 'At line 1, column 9 a text holds a line break or a tab.', /\\n/],
    ['{"a": "\\x"}', '/a', 'At line 1, column 8 "the escape \\\\x" is not expected there.', /backslash/],
    ['{} {}', '', 'At line 1, column 4 "{" is not expected there.', /the end of the text/],
  ])('says where %j is not JSON', (text, pointer, message, action) => {
    expect(readJsonText(text)).toEqual({
      ok: false,
      problems: [
        expect.objectContaining({
          code: 'NOT_JSON',
          pointer,
          message,
          action: expect.stringMatching(action),
        }),
      ],
    });
  });

  it('does not choose between two fields of one name', () => {
    const read = readJsonText('{"body": {"waistGirth": 740, "hipGirth": 1000, "waist\\u0047irth": 800}}');
    expect(read).toEqual({
      ok: false,
      problems: [expect.objectContaining({ code: 'DUPLICATE_FIELD', pointer: '/body/waistGirth' })],
    });
  });

  it('skips a byte order mark', () => {
    expect(readJsonText('\uFEFF{"a": 1}')).toEqual({ ok: true, value: { a: 1 } });
  });

  it('refuses a text beyond the limit before reading it', () => {
    const read = readJsonText(`"${'a'.repeat(JSON_BYTES_MAX)}"`);
    expect(read).toMatchObject({ ok: false, problems: [{ code: 'TOO_LARGE' }] });
  });

  // The engine's own parser is the judge of what is JSON; texts with one letter changed are near the border.
  it('takes a text exactly when the language itself does', () => {
    const arbText = fc
      .tuple(fc.json({ maxDepth: 4 }), fc.nat(), fc.constantFrom(...'{}[]",:\\0-.eEtn \t\u0001x'), fc.nat(2))
      .map(([text, where, letter, kind]) => {
        const at = where % (text.length + 1);
        return [
          text,
          text.slice(0, at) + letter + text.slice(at),
          text.slice(0, at) + letter + text.slice(at + 1),
        ][kind];
      });
    fc.assert(
      fc.property(arbText, (text) => {
        const read = readJsonText(text);
        if (read.ok) expect(read.value).toEqual(JSON.parse(text));
        else if (read.problems.some(({ code }) => code === 'NOT_JSON'))
          expect(() => JSON.parse(text)).toThrow();
        else expect(() => JSON.parse(text)).not.toThrow();
      }),
      { numRuns: 1000 },
    );
  });

  it('stops at a depth no request has', () => {
    expect(readJsonText('['.repeat(1_000_000))).toMatchObject({
      ok: false,
      problems: [{ code: 'TOO_DEEP' }],
    });
    expect(readJsonText('{"a":'.repeat(300_000))).toMatchObject({
      ok: false,
      problems: [{ code: 'TOO_DEEP' }],
    });
  });
});
