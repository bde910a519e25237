import { getDocument, OPS } from 'pdfjs-dist/legacy/build/pdf.mjs';

export interface ReadPath {
  /** Name of the optional content group it lies in. */
  readonly layer: string;
  /** Corner points in mm from the lower left corner of the page; of a curve its ends. */
  readonly points: readonly (readonly [x: number, y: number])[];
}

export interface ReadPage {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly paths: readonly ReadPath[];
  readonly texts: readonly string[];
}

export interface ReadPdf {
  readonly pages: readonly ReadPage[];
  readonly layers: readonly string[];
  readonly printScaling: unknown;
  readonly info: Readonly<Record<string, unknown>>;
}

const MM_PER_POINT = 25.4 / 72;

/** What a PDF shows, read by pdf.js: the paths by layer, where they are on the page, and the texts. */
export async function readPdf(bytes: Uint8Array): Promise<ReadPdf> {
  // pdf.js takes the buffer over.
  const document = await getDocument({ data: new Uint8Array(bytes), verbosity: 0 }).promise;
  const groups = await document.getOptionalContentConfig();
  const names = new Map<string, string>();
  for (const [id, group] of groups as unknown as Iterable<[string, { name: string }]>)
    names.set(id, group.name);
  const pages: ReadPage[] = [];
  for (let number = 1; number <= document.numPages; number++) {
    const page = await document.getPage(number);
    const [, , width, height] = page.view;
    const { fnArray, argsArray } = await page.getOperatorList();
    const content = await page.getTextContent();
    pages.push({
      widthMm: width * MM_PER_POINT,
      heightMm: height * MM_PER_POINT,
      paths: pathsOf(fnArray, argsArray as unknown[][], names),
      texts: content.items.flatMap((item) => ('str' in item && item.str !== '' ? [item.str] : [])),
    });
  }
  const preferences = (await document.getViewerPreferences()) as Record<string, unknown> | null;
  const { info } = await document.getMetadata();
  return {
    pages,
    layers: [...names.values()],
    printScaling: preferences?.['PrintScaling'],
    info: info as Record<string, unknown>,
  };
}

type Matrix = readonly [number, number, number, number, number, number];

function pathsOf(
  fns: readonly number[],
  args: readonly unknown[][],
  names: ReadonlyMap<string, string>,
): ReadPath[] {
  const stack: Matrix[] = [];
  let matrix: Matrix = [1, 0, 0, 1, 0, 0];
  const layers: string[] = [];
  const paths: ReadPath[] = [];
  for (const [i, fn] of fns.entries()) {
    if (fn === OPS.save) stack.push(matrix);
    else if (fn === OPS.restore) matrix = stack.pop() ?? matrix;
    else if (fn === OPS.transform) matrix = product(matrix, args[i] as unknown as Matrix);
    else if (fn === OPS.beginMarkedContentProps)
      layers.push(names.get((args[i][1] as { id: string }).id) ?? '');
    else if (fn === OPS.endMarkedContent) layers.pop();
    else if (fn === OPS.constructPath && args[i][0] !== OPS.endPath) {
      const [flat] = args[i][1] as [ArrayLike<number> | null];
      if (flat !== null) paths.push({ layer: layers.at(-1) ?? '', points: placed(Array.from(flat), matrix) });
    }
  }
  return paths;
}

function product(a: Matrix, b: Matrix): Matrix {
  return [
    a[0] * b[0] + a[2] * b[1],
    a[1] * b[0] + a[3] * b[1],
    a[0] * b[2] + a[2] * b[3],
    a[1] * b[2] + a[3] * b[3],
    a[0] * b[4] + a[2] * b[5] + a[4],
    a[1] * b[4] + a[3] * b[5] + a[5],
  ];
}

/** How many numbers follow each path operator of pdf.js: move, line, curve, quadratic curve, close. */
const NUMBERS_AFTER = [2, 2, 6, 4, 0];

function placed(flat: readonly number[], m: Matrix): (readonly [number, number])[] {
  const points: (readonly [number, number])[] = [];
  for (let i = 0; i < flat.length;) {
    const count = NUMBERS_AFTER[flat[i]];
    if (count > 0) {
      const x = flat[i + count - 1];
      const y = flat[i + count];
      points.push([(m[0] * x + m[2] * y + m[4]) * MM_PER_POINT, (m[1] * x + m[3] * y + m[5]) * MM_PER_POINT]);
    }
    i += 1 + count;
  }
  return points;
}
