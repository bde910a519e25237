import type { Curve, Point } from '#geometry';
import type { Ink, Layer, Mark, PathMark, Sheet, TextMark } from '#sheets';
import { decimalText } from './decimal-text.js';

/** Grey tones; on paper they are told from black by their dash as well. */
const INK_COLOURS: Readonly<Record<Ink, string>> = {
  black: '#000',
  grey: '#6b6b6b',
  pale: '#c4c4c4',
  white: '#fff',
};

const FONT_FAMILY = "'IBM Plex Sans', Arial, Helvetica, sans-serif";

const FONT_WEIGHTS = { regular: '400', semibold: '600' } as const;

/** The letters of a text as path data, in thousandths of its size, y up, from its start; undefined to write it as text. */
export type TextOutline = (mark: TextMark) => string | undefined;

/**
 * A sheet as SVG 1.1: one user unit is one millimetre.
 *
 * Shape     width and height in mm, viewBox the same numbers; one group per layer, with its id; layers without
 *           marks are left out. SVG's y runs down from the upper edge, the sheet's up from the lower.
 * Accuracy  numbers have at most four decimals: a tenth of a micron.
 * Edges     every text states its length, so that a viewer without the font fits its own letters into it; kerning
 *           is off, or it would pull the letters of the right font apart again.
 *           Characters that XML 1.0 does not allow are written as the replacement character.
 */
export function writeSvg(sheet: Sheet, outlineOf: TextOutline = () => undefined): string {
  const width = decimalText(sheet.widthMm);
  const height = decimalText(sheet.heightMm);
  const head =
    `<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="${width}mm" height="${height}mm" ` +
    `viewBox="0 0 ${width} ${height}" font-family="${FONT_FAMILY}" style="font-kerning:none">`;
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    head,
    `<title>${escaped(sheet.title)}</title>`,
    `<rect width="${width}" height="${height}" fill="#fff"/>`,
    ...sheet.layers
      .filter((layer) => layer.marks.length > 0)
      .map((layer) => group(layer, sheet.heightMm, outlineOf)),
    '</svg>',
    '',
  ].join('\n');
}

function group(layer: Layer, heightMm: number, outlineOf: TextOutline): string {
  const marks = layer.marks.map((mark) => element(mark, heightMm, outlineOf));
  const id = escaped(layer.id);
  if (layer.clip === undefined) return [`<g id="${id}">`, ...marks, '</g>'].join('\n');
  const { left, bottom, right, top } = layer.clip;
  const size = `width="${decimalText(right - left)}" height="${decimalText(top - bottom)}"`;
  const clip = `<clipPath id="${id}-clip"><rect x="${decimalText(left)}" y="${decimalText(heightMm - top)}" ${size}/></clipPath>`;
  return [clip, `<g id="${id}" clip-path="url(#${id}-clip)">`, ...marks, '</g>'].join('\n');
}

function element(mark: Mark, heightMm: number, outlineOf: TextOutline): string {
  if (mark.kind === 'path') return pathElement(mark, heightMm);
  const outline = outlineOf(mark);
  return outline === undefined ? textElement(mark, heightMm) : outlineElement(mark, outline, heightMm);
}

function pathElement(mark: PathMark, heightMm: number): string {
  const attributes = [`d="${pathOf(mark.curves, heightMm)}"`];
  attributes.push(`fill="${mark.fill === undefined ? 'none' : INK_COLOURS[mark.fill]}"`);
  if (mark.stroke !== undefined) {
    const { widthMm, ink, dashMm } = mark.stroke;
    attributes.push(`stroke="${INK_COLOURS[ink]}" stroke-width="${decimalText(widthMm)}"`);
    if (dashMm !== undefined) attributes.push(`stroke-dasharray="${dashMm.map(decimalText).join(' ')}"`);
  }
  return `<path ${attributes.join(' ')}/>`;
}

/** Path commands of a chain of curves: lifted where two do not join, closed where a run returns to its start. */
function pathOf(curves: readonly Curve[], heightMm: number): string {
  const at = (p: Point): string => `${decimalText(p.x)} ${decimalText(heightMm - p.y)}`;
  const commands: string[] = [];
  let start: string | undefined;
  let end: string | undefined;
  for (const curve of curves) {
    const from = at(curve.p0);
    if (from !== end) {
      commands.push(`M${from}`);
      start = from;
    }
    end = at(curve.kind === 'line' ? curve.p1 : curve.p3);
    commands.push(curve.kind === 'line' ? `L${end}` : `C${at(curve.p1)} ${at(curve.p2)} ${end}`);
    if (end !== start) continue;
    commands.push('Z');
    end = undefined;
  }
  return commands.join('');
}

function textElement(mark: TextMark, heightMm: number): string {
  const x = decimalText(mark.at.x);
  const y = decimalText(heightMm - mark.at.y);
  const degrees = decimalText((-mark.angleRad * 180) / Math.PI);
  const attributes = [
    `x="${x}" y="${y}" font-size="${decimalText(mark.sizeMm)}"`,
    ...(mark.weight === 'regular' ? [] : [`font-weight="${FONT_WEIGHTS[mark.weight]}"`]),
    ...(mark.anchor === 'start' ? [] : [`text-anchor="${mark.anchor}"`]),
    ...(degrees === '0' ? [] : [`transform="rotate(${degrees} ${x} ${y})"`]),
    `textLength="${decimalText(mark.widthMm)}" lengthAdjust="spacingAndGlyphs"`,
    `fill="${INK_COLOURS[mark.ink]}"`,
  ];
  return `<text ${attributes.join(' ')}>${escaped(mark.text)}</text>`;
}

const ANCHOR_SHIFT = { start: 0, middle: -0.5, end: -1 } as const;

function outlineElement(mark: TextMark, outline: string, heightMm: number): string {
  const scale = mark.sizeMm / 1000;
  const placed = [
    `translate(${decimalText(mark.at.x)} ${decimalText(heightMm - mark.at.y)})`,
    ...(mark.angleRad === 0 ? [] : [`rotate(${decimalText((-mark.angleRad * 180) / Math.PI)})`]),
    `translate(${decimalText(ANCHOR_SHIFT[mark.anchor] * mark.widthMm)})`,
    `scale(${scale} ${-scale})`,
  ];
  return `<path transform="${placed.join(' ')}" d="${outline}" fill="${INK_COLOURS[mark.ink]}"/>`;
}

const ENTITIES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };

function escaped(text: string): string {
  return text
    .replace(
      /[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]|[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g,
      '\ufffd',
    )
    .replace(/[&<>"]/g, (character) => ENTITIES[character]);
}
