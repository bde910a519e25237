/** Letters that do not fall apart into a base letter and its marks. */
const LETTERS: Readonly<Record<string, string>> = {
  ß: 'ss',
  æ: 'ae',
  Æ: 'AE',
  œ: 'oe',
  Œ: 'OE',
  ø: 'o',
  Ø: 'O',
  ł: 'l',
  Ł: 'L',
  đ: 'd',
  Đ: 'D',
  ð: 'd',
  þ: 'th',
  ı: 'i',
  '×': 'x',
  '·': '-',
  '–': '-',
  '—': '-',
  '…': '...',
};

/** Text in printable 7-bit ASCII: accents dropped, letters spelt out, everything else a question mark. */
export function sevenBit(text: string): string {
  return [...text.normalize('NFD')]
    .map((character) => LETTERS[character] ?? character)
    .join('')
    .replace(/\p{M}/gu, '')
    .replace(/[^\x20-\x7e]/gu, '?');
}
