// Writes libs/sheets/plex-widths.ts: the advance widths of IBM Plex Sans, so that the layout of a sheet needs no
// font file and no node. Run again when the font package changes: node scripts/font-widths.mjs
import { readFileSync, writeFileSync } from 'node:fs';

const FONTS = new URL('../node_modules/@expo-google-fonts/ibm-plex-sans/', import.meta.url);
const TARGET = new URL('../libs/sheets/plex-widths.ts', import.meta.url);
const WEIGHTS = {
  regular: '400Regular/IBMPlexSans_400Regular.ttf',
  semibold: '600SemiBold/IBMPlexSans_600SemiBold.ttf',
};

// Table layouts: ISO/IEC 14496-22 (Open Font Format), chapters 4 and 5.
function tablesOf(font) {
  const tables = {};
  for (let i = 0; i < font.readUInt16BE(4); i++) {
    const entry = 12 + 16 * i;
    tables[font.toString('latin1', entry, entry + 4)] = font.readUInt32BE(entry + 8);
  }
  return tables;
}

function advanceOf(font, tables) {
  const count = font.readUInt16BE(tables.hhea + 34);
  return (glyph) => font.readUInt16BE(tables.hmtx + 4 * Math.min(glyph, count - 1));
}

/** Code point -> glyph of the Windows Unicode subtable, format 4 (the basic plane; Plex Sans has nothing beyond it). */
function glyphsOf(font, { cmap }) {
  const at = subtable(font, cmap);
  const segments = font.readUInt16BE(at + 6) / 2;
  const word = (block, i) => font.readUInt16BE(at + 14 + 2 * (block * segments + i) + (block > 0 ? 2 : 0));
  const glyphs = new Map();
  for (let i = 0; i < segments; i++) {
    const [end, start, delta, offset] = [0, 1, 2, 3].map((block) => word(block, i));
    for (let code = start; code <= end && code < 0xffff; code++) {
      const slot = at + 16 + 2 * (3 * segments + i) + offset + 2 * (code - start);
      const raw = offset === 0 ? code : font.readUInt16BE(slot);
      const glyph = raw === 0 ? 0 : (raw + delta) & 0xffff;
      if (glyph !== 0) glyphs.set(code, glyph);
    }
  }
  return glyphs;
}

function subtable(font, cmap) {
  for (let i = 0; i < font.readUInt16BE(cmap + 2); i++) {
    const entry = cmap + 4 + 8 * i;
    const at = cmap + font.readUInt32BE(entry + 4);
    if (font.readUInt16BE(entry) === 3 && font.readUInt16BE(entry + 2) === 1 && font.readUInt16BE(at) === 4)
      return at;
  }
  throw new Error('the font has no Unicode cmap of format 4');
}

function rangesOf(path) {
  const font = readFileSync(new URL(path, FONTS));
  const tables = tablesOf(font);
  const unitsPerEm = font.readUInt16BE(tables.head + 18);
  if (unitsPerEm !== 1000) throw new Error(`${path}: ${unitsPerEm} units per em, 1000 expected`);
  const advance = advanceOf(font, tables);
  const ranges = [];
  for (const [code, glyph] of [...glyphsOf(font, tables)].sort(([a], [b]) => a - b)) {
    const last = ranges.at(-1);
    if (last !== undefined && last.first + last.widths.length === code) last.widths.push(advance(glyph));
    else ranges.push({ first: code, widths: [advance(glyph)] });
  }
  return ranges;
}

const body = Object.entries(WEIGHTS)
  .map(([weight, path]) => {
    const lines = rangesOf(path).map(({ first, widths }) => `    [${first}, '${widths.join(' ')}'],`);
    return `  ${weight}: rangesOf([\n${lines.join('\n')}\n  ]),`;
  })
  .join('\n');

writeFileSync(
  TARGET,
  `// Written by scripts/font-widths.mjs from @expo-google-fonts/ibm-plex-sans; not edited by hand.
import { rangesOf, type TextWidths } from './text-widths.js';

/**
 * Advance widths of IBM Plex Sans in thousandths of the text size, by runs of neighbouring code points.
 *
 * Source  the hmtx and cmap tables of the font files that the drawings are rendered with.
 */
export const PLEX_WIDTHS: TextWidths = {
${body}
};
`,
);
