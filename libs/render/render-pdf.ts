import { deflateSync } from 'node:zlib';
import type PDFDocument from 'pdfkit';
import type { Sheet } from '#sheets';
import { pageContent } from './pdf-content.js';
import { isPlain, markPacked, PdfFonts, type DocumentPart } from './pdf-fonts.js';

const POINTS_PER_MM = 72 / 25.4;

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
 * Accuracy  coordinates are written to 1e-4 mm.
 * Edges     the same sheets give the same bytes: no clock, and an identifier made from title, creator and date. Text is
 *           not searched for in other fonts: a character that Plex lacks shows as its empty box.
 * Cost      about 6 ms, and 0.5 ms a page; the first one reads the fonts, 30 ms. The event loop stands still meanwhile.
 */
export async function renderPdf(sheets: readonly Sheet[], options: PdfOptions): Promise<Uint8Array> {
  // Only when a PDF is asked for: loading it takes longer than most commands take in all.
  const { default: Document } = await import('pdfkit');
  const document = new Document({
    autoFirstPage: false,
    // Reading its usual font takes longer than writing a page, and no page uses it.
    font: null as unknown as string,
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
  const fonts = new PdfFonts(document, arePlain(sheets));
  const bytes = collected(document);
  const groups = new Map<string, Reference>();
  for (const sheet of sheets) drawPage(document, inner, sheet, groups, fonts);
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
  readonly page: {
    readonly resources: { readonly data: Record<string, unknown> };
    readonly content: DocumentPart & { readonly buffer: Uint8Array[] };
  };
  addContent(content: Uint8Array): void;
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

/** Whether every text of the sheets is one glyph for each character. */
function arePlain(sheets: readonly Sheet[]): boolean {
  return sheets.every(({ layers }) =>
    layers.every(({ marks }) => marks.every((mark) => mark.kind === 'path' || isPlain(mark.text))),
  );
}

function drawPage(
  document: InstanceType<typeof PDFDocument>,
  inner: PdfInside,
  sheet: Sheet,
  groups: Map<string, Reference>,
  fonts: PdfFonts,
): void {
  const heightPt = sheet.heightMm * POINTS_PER_MM;
  document.addPage({ size: [sheet.widthMm * POINTS_PER_MM, heightPt], margin: 0 });
  const layers = sheet.layers.filter(({ marks }) => marks.length > 0);
  const names = new Map(layers.map((layer, i) => [layer.id, `L${i}`]));
  const properties: Record<string, Reference> = {};
  for (const [id, name] of names) {
    const group = groups.get(id) ?? inner.ref({ Type: 'OCG', Name: new String(inWords(id)) });
    groups.set(id, group);
    properties[name] = group;
  }
  inner.page.resources.data['Properties'] = properties;
  const scale = POINTS_PER_MM.toFixed(9);
  const content = pageContent({ ...sheet, layers }, ({ id }) => names.get(id) ?? '', fonts);
  const page = inner.page.content;
  // pdfkit has turned the page upside down for its own drawing, which is not used.
  page.buffer.splice(0);
  markPacked(page);
  const bytes = Buffer.from(`${scale} 0 0 ${scale} 0 0 cm\n${content}`, 'latin1');
  inner.addContent(deflateSync(bytes, { level: LEVEL }));
}

/** A twentieth larger than at the usual 6, in two thirds of the time. */
const LEVEL = 3;

/** "cut-line" as a viewer lists it. */
function inWords(id: string): string {
  return id.replaceAll('-', ' ');
}
