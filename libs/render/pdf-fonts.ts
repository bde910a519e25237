import { deflateSync } from 'node:zlib';
import type PDFDocument from 'pdfkit';
import type { TextMark, TextWeight } from '#sheets';
import type { TextWriter } from './pdf-content.js';
import { PLEX_FONTS } from './plex-fonts.js';

/** Kerning and ligatures would pull the letters off the lengths that the sheet was laid out with. */
const FEATURES = { kern: false, liga: false };

/** A font as pdfkit's font library has read it. */
interface ReadFont {
  readonly layout: unknown;
  glyphForCodePoint(codePoint: number): { readonly id: number; readonly advanceWidth: number };
}

/** What pdfkit keeps of a font in a document (0.20.2): the glyphs that are used, by the numbers they get in it. */
interface DocumentFont {
  readonly id: string;
  readonly font: ReadFont;
  readonly scale: number;
  readonly subset: {
    readonly glyphs: readonly number[];
    includeGlyph(glyph: number): number;
    encode(): Uint8Array;
  };
  readonly widths: number[];
  readonly unicode: (readonly number[])[];
  ref(): unknown;
  encode(text: string, features: unknown): [string[], ShapedPlace[]];
}

/** In thousandths of the text size. */
interface ShapedPlace {
  readonly advanceWidth: number;
  readonly xAdvance: number;
  readonly xOffset: number;
  readonly yOffset: number;
}

interface FontsInside {
  readonly _font: DocumentFont;
  readonly page: { readonly fonts: Record<string, unknown> };
  ref(data?: object): DocumentPart;
}

/** A part of the file whose bytes pdfkit would compress when it ends. */
export interface DocumentPart {
  compress: boolean;
  readonly data: Record<string, unknown>;
}

/** Tell that what will be written into a part has been deflated. */
export function markPacked(part: DocumentPart): void {
  part.compress = false;
  part.data['Filter'] = 'FlateDecode';
}

/** Reading a font takes longer than most pages; what is read is never changed. */
const readFonts = new Map<TextWeight, ReadFont>();

/** Marks that combine with the letter before them, what is not drawn at all, and the stroke of a fraction. */
const SHAPED = /[\p{M}\p{Default_Ignorable_Code_Point}\u2044]/u;

/** Whether each character of a text is one glyph of Plex Sans, wherever it stands. */
export function isPlain(text: string): boolean {
  return !SHAPED.test(text);
}

/**
 * Both weights of IBM Plex Sans in a document, and what writes its texts with them.
 *
 * Shape  text that is not `plain` is shaped by pdfkit's font library, from fonts read for this document alone: what that
 *        library remembers of a glyph depends on the texts before, and the same sheets have to give the same bytes.
 */
export class PdfFonts implements TextWriter {
  private readonly fonts = new Map<TextWeight, DocumentFont>();
  private readonly codes = new Map<TextWeight, Map<number, string>>();
  private readonly inner: FontsInside;

  private newest: DocumentPart | undefined;

  constructor(
    private readonly document: InstanceType<typeof PDFDocument>,
    private readonly plain: boolean,
  ) {
    this.inner = document as unknown as FontsInside;
    const ref = this.inner.ref.bind(document);
    this.inner.ref = (data) => (this.newest = ref(data));
  }

  write({ text, weight, sizeMm }: TextMark, matrix: string): string {
    const font = this.fontOf(weight);
    this.inner.page.fonts[font.id] ??= font.ref();
    const shown = isPlain(text) ? `<${this.coded(font, weight, text)}> Tj` : shaped(font, text, sizeMm);
    return `BT\n/${font.id} ${sizeMm} Tf\n${matrix} Tm\n${shown}\nET\n`;
  }

  private fontOf(weight: TextWeight): DocumentFont {
    const known = this.fonts.get(weight);
    if (known !== undefined) return known;
    const read = this.plain ? readFonts.get(weight) : undefined;
    // pdfkit takes a font that has been read as well as a path; its types do not say so.
    this.document.registerFont(weight, (read ?? PLEX_FONTS[weight]) as string);
    this.document.font(weight);
    const font = this.inner._font;
    if (this.plain) readFonts.set(weight, font.font);
    this.fonts.set(weight, font);
    this.codes.set(weight, new Map());
    if (this.plain) {
      this.coded(font, weight, USUAL);
      this.rememberSubset(font, weight);
    }
    return font;
  }

  /** The subset is asked for once, to be put into the part of the file that was made for it just before. */
  private rememberSubset(font: DocumentFont, weight: TextWeight): void {
    const { subset } = font;
    const encode = subset.encode.bind(subset);
    subset.encode = () => {
      if (this.newest !== undefined) markPacked(this.newest);
      return packedSubset(font, weight, encode);
    };
  }

  private coded(font: DocumentFont, weight: TextWeight, text: string): string {
    const codes = this.codes.get(weight) ?? new Map<number, string>();
    let coded = '';
    for (const character of text) {
      const codePoint = character.codePointAt(0) ?? 0;
      let code = codes.get(codePoint);
      if (code === undefined) codes.set(codePoint, (code = included(font, weight, codePoint)));
      coded += code;
    }
    return coded;
  }
}

interface KnownGlyph {
  readonly id: number;
  readonly advanceWidth: number;
}

/** Glyphs of the fonts that have been read, by character. */
const glyphs: Readonly<Record<TextWeight, Map<number, KnownGlyph>>> = {
  regular: new Map(),
  semibold: new Map(),
};

function included(font: DocumentFont, weight: TextWeight, codePoint: number): string {
  let known = glyphs[weight].get(codePoint);
  if (known === undefined) {
    const { id, advanceWidth } = font.font.glyphForCodePoint(codePoint);
    glyphs[weight].set(codePoint, (known = { id, advanceWidth }));
  }
  const number = font.subset.includeGlyph(known.id);
  font.widths[number] ??= known.advanceWidth * font.scale;
  font.unicode[number] ??= [codePoint];
  return number.toString(16).padStart(4, '0');
}

/** What nearly every sheet is written with. In every document, most of them embed the very same subset. */
const USUAL = Array.from({ length: 95 }, (_, i) => String.fromCharCode(32 + i)).join('') + '·×°±−→';

/** Compressed subsets by weight and glyphs: making one takes longer than writing ten pages. */
const subsets = new Map<string, Uint8Array>();
/** A shop's own letters make further ones. */
const SUBSETS_MAX = 32;

function packedSubset({ subset }: DocumentFont, weight: TextWeight, encode: () => Uint8Array): Uint8Array {
  const key = `${weight} ${subset.glyphs.join(' ')}`;
  const known = subsets.get(key) ?? deflateSync(encode());
  if (subsets.size >= SUBSETS_MAX) subsets.clear();
  subsets.set(key, known);
  return known;
}

/** Glyph by glyph, each moved to where the font wants it: marks stand over their letters. */
function shaped(font: DocumentFont, text: string, sizeMm: number): string {
  const [codes, places] = font.encode(text, FEATURES);
  return codes
    .map((code, i) => {
      const { xAdvance, xOffset, yOffset, advanceWidth } = places[i];
      const rise = yOffset === 0 ? '' : `${rounded((yOffset * sizeMm) / 1000)} Ts\n`;
      const shown = `[${rounded(-xOffset)} <${code}> ${rounded(xOffset + advanceWidth - xAdvance)}] TJ`;
      return `${rise}${shown}${rise === '' ? '' : '\n0 Ts'}`;
    })
    .join('\n');
}

function rounded(value: number): number {
  return Math.round(value * 1e4) / 1e4 + 0;
}
