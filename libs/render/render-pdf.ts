import type PDFDocument from 'pdfkit';
import type { Curve, Point } from '#geometry';
import type { Ink, Layer, Mark, PathMark, Sheet, TextMark } from '#sheets';
import { PLEX_FONTS } from './plex-fonts.js';

const POINTS_PER_MM = 72 / 25.4;

const INK_COLOURS: Readonly<Record<Ink, string>> = {
  black: '#000000',
  grey: '#6b6b6b',
  pale: '#c4c4c4',
  white: '#ffffff',
};

/** Kerning and ligatures would pull the letters off the lengths that the sheet was laid out with. */
const FEATURES = { kern: false, liga: false };

export interface PdfOptions {
  readonly title: string;
  /** Name and version of the engine, as the document's creator. */
  readonly creator: string;
  /** YYYY-MM-DD; without it the document carries no date. */
  readonly dated?: string;
}

/**
 * Sheets as one PDF, a page each, at true size.
 *
 * Shape     PDF 1.5. Every layer name is an optional content group that a viewer can switch off; text is text, in
 *           embedded subsets of IBM Plex Sans; the viewer is asked not to scale when printing.
 * Units     one millimetre of the sheet is 72 / 25.4 points of the page.
 * Accuracy  coordinates are written to 1e-6 mm.
 * Edges     the same sheets give the same bytes: no clock, and an identifier made from title, creator and date. Text is
 *           not searched for in other fonts: a character that Plex lacks shows as its empty box.
 * Cost      about 60 ms and the fonts, then about 10 microseconds a mark; the event loop stands still meanwhile.
 */
export async function renderPdf(sheets: readonly Sheet[], options: PdfOptions): Promise<Uint8Array> {
  // Only when a PDF is asked for: loading it takes longer than most commands take in all.
  const { default: Document } = await import('pdfkit');
  const document = new Document({
    autoFirstPage: false,
    pdfVersion: '1.5',
    // The date goes into the identifier; a document without one takes that of the PDF reference.
    info: {
      Title: options.title,
      Creator: options.creator,
      Producer: 'pdfkit',
      CreationDate: dateOf(options),
    },
  });
  const inner = document as unknown as PdfInside;
  if (options.dated === undefined) delete inner.info.CreationDate;
  // The XMP packet would say the same again, and pdfkit does not escape it.
  inner.endMetadata = () => undefined;
  document.registerFont('regular', PLEX_FONTS.regular);
  document.registerFont('semibold', PLEX_FONTS.semibold);
  const bytes = collected(document);
  const groups = new Map<string, Reference>();
  for (const sheet of sheets) drawPage(document, inner, sheet, groups);
  inner._root.data['ViewerPreferences'] = inner.ref({ PrintScaling: 'None', DisplayDocTitle: true });
  inner._root.data['OCProperties'] = contentGroups([...groups.values()]);
  for (const group of groups.values()) group.end();
  document.end();
  return bytes;
}

/** A part of the file that others refer to; it is written when it ends. */
interface Reference {
  end(): void;
}

/** What pdfkit keeps to itself and optional content needs (0.20.2). */
interface PdfInside {
  readonly info: { CreationDate?: Date };
  endMetadata: () => void;
  readonly _root: { readonly data: Record<string, unknown> };
  readonly page: { readonly resources: { readonly data: Record<string, unknown> } };
  addContent(content: string): void;
  ref(data: object): Reference;
}

const NO_DATE = '2000-01-01';

function dateOf({ dated }: PdfOptions): Date {
  return new Date(`${dated ?? NO_DATE}T00:00:00Z`);
}

function collected(document: InstanceType<typeof PDFDocument>): Promise<Uint8Array> {
  const chunks: Buffer[] = [];
  return new Promise((resolve, reject) => {
    document.on('data', (chunk: Buffer) => chunks.push(chunk));
    document.on('end', () => {
      resolve(new Uint8Array(Buffer.concat(chunks)));
    });
    document.on('error', reject);
  });
}

function contentGroups(all: readonly Reference[]): unknown {
  return { OCGs: all, D: { Order: all, ON: all } };
}

function drawPage(
  document: InstanceType<typeof PDFDocument>,
  inner: PdfInside,
  sheet: Sheet,
  groups: Map<string, Reference>,
): void {
  const size: [number, number] = [sheet.widthMm * POINTS_PER_MM, sheet.heightMm * POINTS_PER_MM];
  document.addPage({ size, margin: 0 });
  document.scale(POINTS_PER_MM);
  const properties: Record<string, Reference> = {};
  const layers = sheet.layers.filter(({ marks }) => marks.length > 0);
  for (const [i, layer] of layers.entries()) {
    const group = groups.get(layer.id) ?? inner.ref({ Type: 'OCG', Name: new String(inWords(layer.id)) });
    groups.set(layer.id, group);
    properties[`L${i}`] = group;
    inner.addContent(`/OC /L${i} BDC`);
    drawLayer(document, layer, sheet.heightMm);
    inner.addContent('EMC');
  }
  inner.page.resources.data['Properties'] = properties;
}

/** "cut-line" as a viewer lists it. */
function inWords(id: string): string {
  return id.replaceAll('-', ' ');
}

function drawLayer(document: InstanceType<typeof PDFDocument>, layer: Layer, heightMm: number): void {
  const { clip } = layer;
  if (clip !== undefined) {
    document.save();
    document.rect(clip.left, heightMm - clip.top, clip.right - clip.left, clip.top - clip.bottom).clip();
  }
  for (const mark of layer.marks) drawMark(document, mark, heightMm);
  if (clip !== undefined) document.restore();
}

function drawMark(document: InstanceType<typeof PDFDocument>, mark: Mark, heightMm: number): void {
  if (mark.kind === 'text') drawText(document, mark, heightMm);
  else drawPath(document, mark, heightMm);
}

function drawPath(document: InstanceType<typeof PDFDocument>, mark: PathMark, heightMm: number): void {
  tracePath(document, mark.curves, heightMm);
  const { stroke, fill } = mark;
  if (stroke !== undefined) {
    document.lineWidth(stroke.widthMm).strokeColor(INK_COLOURS[stroke.ink]);
    if (stroke.dashMm === undefined) document.undash();
    else document.dash(stroke.dashMm as unknown as number, {});
  }
  if (fill !== undefined) document.fillColor(INK_COLOURS[fill]);
  if (stroke !== undefined && fill !== undefined)
    document.fillAndStroke(INK_COLOURS[fill], INK_COLOURS[stroke.ink]);
  else if (stroke !== undefined) document.stroke();
  else document.fill();
}

/** Lifted where two curves do not join, closed where a run returns to its start. */
function tracePath(
  document: InstanceType<typeof PDFDocument>,
  curves: readonly Curve[],
  heightMm: number,
): void {
  const y = (p: Point): number => heightMm - p.y;
  let start: Point | undefined;
  let end: Point | undefined;
  for (const curve of curves) {
    if (end === undefined || curve.p0.x !== end.x || curve.p0.y !== end.y) {
      document.moveTo(curve.p0.x, y(curve.p0));
      start = curve.p0;
    }
    if (curve.kind === 'line') document.lineTo(curve.p1.x, y(curve.p1));
    else document.bezierCurveTo(curve.p1.x, y(curve.p1), curve.p2.x, y(curve.p2), curve.p3.x, y(curve.p3));
    end = curve.kind === 'line' ? curve.p1 : curve.p3;
    if (start !== undefined && end.x === start.x && end.y === start.y) {
      document.closePath();
      end = undefined;
    }
  }
}

function drawText(document: InstanceType<typeof PDFDocument>, mark: TextMark, heightMm: number): void {
  const shift = { start: 0, middle: -0.5, end: -1 }[mark.anchor] * mark.widthMm;
  document.save();
  document.translate(mark.at.x, heightMm - mark.at.y);
  if (mark.angleRad !== 0) document.rotate((-mark.angleRad * 180) / Math.PI);
  document.font(mark.weight).fontSize(mark.sizeMm).fillColor(INK_COLOURS[mark.ink]);
  document.text(mark.text, shift, 0, {
    lineBreak: false,
    baseline: 'alphabetic',
    features: FEATURES as unknown as PDFKit.Mixins.OpenTypeFeatures[],
  });
  document.restore();
}
