import { area, FillRule, intersect } from 'clipper2-ts';
import { describe, expect, it } from '@jest/globals';
import { DepthField } from './depth-field.js';
import { Random } from './random.js';
import { boxOf, cleanRing, flipped, type Ring } from './ring.js';
import { IS_NIGHT } from '../../test/support/seed.js';

// Oracle: the area two outlines share, by the boolean kernel Clipper2. Depth and area are different measures of one
// thing: both zero or both not, apart from contacts thinner than the two grid units the no-fit polygon may be off.
// A hundred thousand places at night: FORKLINE_NIGHTLY=1.
const PLACEMENTS = IS_NIGHT ? 100_000 : 5_000;
const OFF_UNITS = 2;
const GAP_UNITS = 3;

const SORTS = {
  convex: (random: Random) => star(random, 12, 0.95),
  concave: (random: Random) => star(random, 10, 0.5),
  spiky: (random: Random) => star(random, 24, 0.05),
  'with notches on parallel sides': (random: Random) => comb(random),
  'with thin slits': (random: Random) => slit(random),
  'of small whole numbers, full of coincidences': (random: Random) => lattice(random),
};

describe('depth from the no-fit polygon', () => {
  const sorts = Object.keys(SORTS) as (keyof typeof SORTS)[];

  it.each(sorts)('agrees with a boolean kernel for outlines %s', (sort) => {
    const random = new Random(7, sort.length);
    const others = Object.values(SORTS);
    let disagreements = 0;
    for (let pair = 0; pair < 25; pair++) {
      const rings = [SORTS[sort](random), others[pair % others.length](random)];
      const field = new DepthField(rings, GAP_UNITS);
      for (let trial = 0; trial < PLACEMENTS / 25 / sorts.length; trial++) {
        if (!agrees(field, rings, random)) disagreements++;
      }
    }
    expect(disagreements).toBe(0);
  });

  it('is the same whichever of the two is called the moving one', () => {
    const random = new Random(3);
    const rings = [SORTS.spiky(random), SORTS.concave(random)];
    const field = new DepthField(rings, GAP_UNITS);
    const other = new DepthField([rings[1], rings[0]], GAP_UNITS);
    for (let trial = 0; trial < 500; trial++) {
      const [dx, dy] = placeNear(rings, random);
      const depth = field.depth(field.code(0, 1), dx, dy);
      expect(field.depth(field.code(1, 0), -dx, -dy)).toBe(depth);
      // Another field has its cells elsewhere: from half a cell of depth on they may differ by its diagonal.
      const cell = (boxSide(rings[0]) + boxSide(rings[1])) / 40;
      const elsewhere = other.depth(other.code(0, 1), -dx, -dy);
      expect(Math.abs(elsewhere - depth)).toBeLessThan(depth > 0.4 * cell ? 1.5 * cell : 5);
    }
  });

  it('shares a table between mirrored and turned copies, and still agrees with the kernel', () => {
    const random = new Random(3);
    for (let pair = 0; pair < 10; pair++) {
      const forms = [SORTS.spiky(random), SORTS.concave(random)];
      const rings = forms.flatMap((ring) => ([0, 1, 2, 3] as const).map((flip) => flipped(ring, flip)));
      const field = new DepthField(rings, GAP_UNITS);
      const tables = new Set<number>();
      for (let place = 0; place < 300; place++) {
        const [a, b] = [random.below(8), random.below(8)];
        tables.add(field.code(a, b) >> 2);
        expect(agrees(field, rings, random, a, b)).toBe(true);
      }
      // Two forms: each with itself and the other, under four flips between them.
      expect(tables.size).toBeLessThanOrEqual(12);
    }
  });

  it('is the way to the nearest side for two squares, by hand', () => {
    const square = cleanRing([
      [0, 0],
      [1000, 0],
      [1000, 1000],
      [0, 1000],
    ]) as Ring;
    const field = new DepthField([square], GAP_UNITS);
    const code = field.code(0, 0);
    expect(field.depth(code, 900, 0)).toBeCloseTo(100 + GAP_UNITS, 6);
    expect(field.depth(code, 1002, 0)).toBeCloseTo(1, 6);
    expect(field.depth(code, 1003, 0)).toBe(0);
    expect(field.depth(code, 1002, 1002)).toBeCloseTo(GAP_UNITS - Math.SQRT2 * 2, 6);
  });
});

function agrees(field: DepthField, rings: readonly Ring[], random: Random, a = 0, b = 1): boolean {
  const pair = [rings[a], rings[b]];
  const [dx, dy] = random.next() < 0.5 ? placeNear(pair, random) : placeAtContact(pair, random);
  const depth = field.depth(field.code(a, b), dx, dy);
  const shared = Math.abs(
    intersect([path(rings[a], 0, 0)], [path(rings[b], dx, dy)], FillRule.NonZero).reduce(
      (sum, p) => sum + area(p),
      0,
    ),
  );
  // An overlap of depth d holds a lens of at least some d^2 units; a clear pair shares nothing.
  if (depth > GAP_UNITS + OFF_UNITS) return shared > 0;
  if (depth < GAP_UNITS - OFF_UNITS) return shared === 0;
  return shared / FINER ** 2 <= (4 * OFF_UNITS + 4) * 40_000;
}

function placeNear([a, b]: readonly Ring[], random: Random): readonly [number, number] {
  const [p, q] = [boxOf(a), boxOf(b)];
  const x = p.left - q.right + random.next() * (p.right - p.left + q.right - q.left);
  const y = p.bottom - q.top + random.next() * (p.top - p.bottom + q.top - q.bottom);
  return [Math.round(x), Math.round(y)];
}

/** A corner of one on or a hair beside a side of the other: where a table is most easily wrong. */
function placeAtContact(rings: readonly Ring[], random: Random): readonly [number, number] {
  const [a, b] = random.next() < 0.5 ? rings : [...rings].reverse();
  const corner = random.below(b.xs.length);
  const side = random.below(a.xs.length);
  const next = (side + 1) % a.xs.length;
  const share = random.next() < 0.5 ? 0 : random.next();
  const off = [0, 2, 8, 50, 400][random.below(5)];
  const x = a.xs[side] + share * (a.xs[next] - a.xs[side]) - b.xs[corner] + (random.next() - 0.5) * 2 * off;
  const y = a.ys[side] + share * (a.ys[next] - a.ys[side]) - b.ys[corner] + (random.next() - 0.5) * 2 * off;
  const sign = a === rings[0] ? 1 : -1;
  return [Math.round(sign * x), Math.round(sign * y)];
}

function boxSide(ring: Ring): number {
  const box = boxOf(ring);
  return Math.max(box.right - box.left, box.top - box.bottom);
}

/** The kernel rounds crossings to whole numbers, and where two spikes meet would round a thin overlap away. */
const FINER = 1_000;

function path(ring: Ring, dx: number, dy: number): { x: number; y: number }[] {
  return Array.from(ring.xs, (x, i) => ({ x: FINER * (x + dx), y: FINER * (ring.ys[i] + dy) }));
}

/** Corners at even angles and radii from `least` of the largest: star-shaped, so always simple. */
function star(random: Random, corners: number, least: number): Ring {
  const radius = 2_000 + random.below(8_000);
  const points = Array.from({ length: corners }, (_, i): [number, number] => {
    const angle = (2 * Math.PI * (i + 0.3 * random.next())) / corners;
    const r = radius * (least + (1 - least) * random.next());
    return [r * Math.cos(angle), r * Math.sin(angle)];
  });
  return cleanRing(points) as Ring;
}

/** Teeth of one width: many parallel sides, collinear runs, and slots that another comb's teeth just fit. */
function comb(random: Random): Ring {
  const [teeth, tooth] = [2 + random.below(3), 1_000];
  const points: [number, number][] = [[0, 0]];
  for (let t = 0; t < teeth; t++) {
    const x = 2 * t * tooth;
    points.push([x, 3_000], [x + tooth, 3_000], [x + tooth, 1_000], [x + 2 * tooth, 1_000]);
  }
  points.push([2 * teeth * tooth, 0]);
  return cleanRing(points) as Ring;
}

/** Star-shaped on a grid of thousands: corners meet corners and sides lie on sides. */
function lattice(random: Random): Ring {
  const corners = 4 + random.below(6);
  const points = Array.from({ length: corners }, (_, i): [number, number] => {
    const angle = (2 * Math.PI * i) / corners;
    const r = 2 + random.below(6);
    return [Math.round(r * Math.cos(angle)) * 1_000, Math.round(r * Math.sin(angle)) * 1_000];
  });
  return cleanRing(points) as Ring;
}

function slit(random: Random): Ring {
  const [x, wide] = [1_000 + random.below(3_000), 5 + random.below(60)];
  return cleanRing([
    [0, 0],
    [6_000, 0],
    [6_000, 5_000],
    [x + wide, 5_000],
    [x, 500],
    [x - 3, 5_000],
    [0, 5_000],
  ]) as Ring;
}
