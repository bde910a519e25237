/** Identifiers of ASTM D6673-10 in its spelling, and other spellings that are met. */
const IDENTIFIERS: readonly (readonly [spelling: string, ...also: string[]])[] = [
  ['Style Name', 'style'],
  ['Creation Date'],
  ['Creation Time'],
  ['Author'],
  ['Sample Size', 'base size'],
  ['Grade Rule Table'],
  ['Units', 'unit'],
  ['Curve Tolerance'],
  ['Piece Name', 'piece'],
  ['Quantity'],
  ['Rotation'],
  ['Flip'],
  ['Tilt'],
  ['Fold'],
  ['Material', 'fabric'],
  ['Size Name', 'size'],
  ['Category'],
];

const BY_WORD = new Map(
  IDENTIFIERS.flatMap(([spelling, ...also]) =>
    [spelling, ...also].map((word) => [word.toLowerCase(), spelling]),
  ),
);

const STYLE_TEXTS = [
  'Style Name',
  'Creation Date',
  'Creation Time',
  'Author',
  'Sample Size',
  'Grade Rule Table',
  'Units',
  'Curve Tolerance',
];

/** A text of the form "Identifier:value" with an identifier of the standard, in its spelling; undefined for any other. */
export function systemText(
  text: string,
): { readonly identifier: string; readonly value: string } | undefined {
  const colon = text.indexOf(':');
  if (colon < 0) return undefined;
  const identifier = BY_WORD.get(text.slice(0, colon).trim().toLowerCase().replace(/[_ ]+/g, ' '));
  return identifier === undefined ? undefined : { identifier, value: text.slice(colon + 1).trim() };
}

/** Whether an identifier belongs to the style rather than to a piece. */
export function isStyleText(identifier: string): boolean {
  return STYLE_TEXTS.includes(identifier);
}

/** "# 12" or "# 12, 14": the grade rule of the point where the text stands. */
export function gradeRule(text: string): string | undefined {
  return /^#\s*(\S.{0,40})$/.exec(text)?.[1];
}
