import { line, type Curve, type Point } from '#geometry';

/** How an area is filled so that it is told from others without colour. */
export interface Hatch {
  readonly angleRad: number;
  readonly pitchMm: number;
  readonly dashMm?: readonly number[];
}

const ANGLES_DEGREES = [45, 135, 0, 90, 22.5, 112.5];
const RHYTHMS: readonly Omit<Hatch, 'angleRad'>[] = [
  { pitchMm: 2.4 },
  { pitchMm: 4.8 },
  { pitchMm: 2.4, dashMm: [2.5, 1.5] },
];

/** None for the first of a series, then 18 that differ in direction, pitch or dash; after that they come again. */
export function hatchOf(index: number): Hatch | undefined {
  const kinds = ANGLES_DEGREES.length * RHYTHMS.length + 1;
  const place = index % kinds;
  if (place === 0) return undefined;
  const angleRad = (ANGLES_DEGREES[(place - 1) % ANGLES_DEGREES.length] * Math.PI) / 180;
  return { angleRad, ...RHYTHMS[Math.floor((place - 1) / ANGLES_DEGREES.length)] };
}

/**
 * The strokes of a hatch inside a closed outline.
 *
 * The strokes lie on one raster for the whole page, so neighbouring areas of one hatch read as one. A line through a
 * corner counts as passing above it, so strokes always come in whole pairs of crossings.
 */
export function hatchStrokes(outline: readonly Point[], { angleRad, pitchMm }: Hatch): Curve[] {
  const [cos, sin] = [Math.cos(angleRad), Math.sin(angleRad)];
  const along = outline.map(({ x, y }) => x * cos + y * sin);
  const across = outline.map(({ x, y }) => y * cos - x * sin);
  const strokes: Curve[] = [];
  const last = Math.floor(Math.max(...across) / pitchMm);
  for (let row = Math.ceil(Math.min(...across) / pitchMm); row <= last; row++) {
    const level = row * pitchMm;
    const crossings = crossingsAt(along, across, level);
    const toPage = (u: number): Point => ({ x: u * cos - level * sin, y: u * sin + level * cos });
    for (let c = 0; c + 1 < crossings.length; c += 2)
      strokes.push(line(toPage(crossings[c]), toPage(crossings[c + 1])));
  }
  return strokes;
}

function crossingsAt(along: readonly number[], across: readonly number[], level: number): number[] {
  const found: number[] = [];
  for (let i = 0; i < along.length; i++) {
    const k = (i + 1) % along.length;
    if (across[i] > level === across[k] > level) continue;
    const share = (level - across[i]) / (across[k] - across[i]);
    found.push(along[i] + share * (along[k] - along[i]));
  }
  return found.sort((a, b) => a - b);
}
