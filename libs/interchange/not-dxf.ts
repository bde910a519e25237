const SIGNS: readonly (readonly [begins: RegExp, what: string])[] = [
  [/^PK(\x03\x04|\x05\x06)/, 'a zip archive'],
  [/^\x1f\x8b/, 'a gzip file'],
  [/^%PDF-/, 'a PDF'],
  [/^AutoCAD Binary DXF/, 'a binary DXF'],
  [/^AC10\d\d/, 'a DWG'],
  [/^\s*<(\?xml|svg|!doctype|html)/i, 'XML or HTML'],
  [/^\s*[{[]\s*["{[\]}]/, 'JSON'],
  [/^(\xff\xfe|\xfe\xff)/, 'text in UTF-16'],
];

/** Of plain text in UTF-16 without a mark, every second byte of the first letters is nothing. */
const UTF16 = /^(?:[\x09-\x7e]\0){4}|^(?:\0[\x09-\x7e]){4}/;

/** The first line that says anything: of a DXF a group code, which is a whole number. */
const FIRST_LINE = /^(?:\xef\xbb\xbf)?\s*([^\r\n]*)/;
const GROUP_CODE = /^-?\d{1,4}\s*$/;

/**
 * What a file plainly is that is no ASCII DXF; undefined where it may be one.
 *
 * Shape   `head` is its first bytes, a few hundred or more. The answer goes into a sentence: "a zip archive".
 * Edges   text is none when its first line is no group code: a DXF cannot begin with anything else. What begins as one
 *         and breaks later is for `readDxf` to say, with the line.
 * Source  the file signatures of the formats; group codes as the public DXF reference gives them.
 */
export function notDxf(head: Uint8Array): string | undefined {
  const text = String.fromCharCode(...head.subarray(0, HEAD_BYTES));
  const known = SIGNS.find(([begins]) => begins.test(text))?.[1];
  if (known !== undefined) return known;
  if (text.trim() === '') return 'empty';
  if (UTF16.test(text)) return 'text in UTF-16';
  if (text.includes('\0')) return 'a binary file';
  const [, first = ''] = FIRST_LINE.exec(text) ?? [];
  if (GROUP_CODE.test(first)) return undefined;
  return 'text that begins with no group code';
}

const HEAD_BYTES = 4096;
