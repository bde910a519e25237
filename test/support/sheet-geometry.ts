import { Clipper, FillRule } from 'clipper2-ts';
import type { Point } from '#geometry';
import type { Sheet, TextMark } from '#sheets';

/** All texts of a sheet, or of one layer. */
export function textsOf(sheet: Sheet, layerId?: string): TextMark[] {
  return sheet.layers
    .filter((layer) => layerId === undefined || layer.id === layerId)
    .flatMap((layer) => layer.marks)
    .filter((mark) => mark.kind === 'text');
}

/** How far letters reach: the tallest ascender and the deepest descender of Plex Sans, from its drawings. */
const ASCENDER = 0.78;
const DESCENDER = 0.22;

/** The four corners of the ink of a text. */
export function cornersOf(mark: TextMark): Point[] {
  const start = { start: 0, middle: -mark.widthMm / 2, end: -mark.widthMm }[mark.anchor];
  const low = -DESCENDER * mark.sizeMm;
  const high = ASCENDER * mark.sizeMm;
  const cos = Math.cos(mark.angleRad);
  const sin = Math.sin(mark.angleRad);
  return [
    [start, low],
    [start + mark.widthMm, low],
    [start + mark.widthMm, high],
    [start, high],
  ].map(([x, y]) => ({ x: mark.at.x + x * cos - y * sin, y: mark.at.y + x * sin + y * cos }));
}

/** Area that two convex polygons share, by a general-purpose polygon clipper. */
export function sharedAreaMm2(a: readonly Point[], b: readonly Point[]): number {
  const shared = Clipper.intersectD([[...a]], [[...b]], FillRule.NonZero, 6);
  return shared.reduce((sum, path) => sum + Math.abs(Clipper.areaD(path)), 0);
}

/** The pairs of texts whose ink shares any area. */
export function overlappingTexts(sheet: Sheet): string[] {
  const texts = textsOf(sheet).map((mark) => ({ mark, ...extentOf(cornersOf(mark)) }));
  const found: string[] = [];
  for (const [i, a] of texts.entries()) {
    for (const b of texts.slice(i + 1)) {
      // Upright bounds that are apart cannot hide an overlap; the clipper judges the rest.
      if (a.left > b.right || b.left > a.right || a.bottom > b.top || b.bottom > a.top) continue;
      if (sharedAreaMm2(a.corners, b.corners) > 1e-6) found.push(`"${a.mark.text}" and "${b.mark.text}"`);
    }
  }
  return found;
}

interface Extent {
  readonly corners: readonly Point[];
  readonly left: number;
  readonly right: number;
  readonly bottom: number;
  readonly top: number;
}

function extentOf(corners: readonly Point[]): Extent {
  const xs = corners.map((p) => p.x);
  const ys = corners.map((p) => p.y);
  return {
    corners,
    left: Math.min(...xs),
    right: Math.max(...xs),
    bottom: Math.min(...ys),
    top: Math.max(...ys),
  };
}

/** The texts that one of the points lies in. */
export function textsAt(sheet: Sheet, points: readonly Point[]): string[] {
  return textsOf(sheet)
    .filter((mark) => {
      const { corners, left, right, bottom, top } = extentOf(cornersOf(mark));
      return points.some(
        (p) => p.x > left && p.x < right && p.y > bottom && p.y < top && isInside(p, corners),
      );
    })
    .map((mark) => mark.text);
}

/** Whether a point lies strictly inside a convex polygon that runs counter-clockwise. */
function isInside(p: Point, corners: readonly Point[]): boolean {
  return corners.every((a, i) => {
    const b = corners[(i + 1) % corners.length];
    return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x) > 0;
  });
}
