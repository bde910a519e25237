import fc from 'fast-check';
import { describe, expect, it } from '@jest/globals';
import type { Point } from '#geometry';
import { sharedAreaMm2 } from '../../test/support/sheet-geometry.js';
import { boxesMeet, boxMeetsLine, type Box } from './box.js';

const coordinate = fc.double({ min: -20, max: 20, noNaN: true });
const point = fc.record({ x: coordinate, y: coordinate });
const half = fc.double({ min: 0.5, max: 12, noNaN: true });
const box: fc.Arbitrary<Box> = fc.record({
  centre: point,
  halfWidthMm: half,
  halfHeightMm: half,
  angleRad: fc.double({ min: -Math.PI, max: Math.PI, noNaN: true }),
});

/** Boxes that share less than this may be called either way. */
const TOUCH_MM2 = 1e-4;
/** Half the width of the polygon that stands for a line. */
const HAIR_MM = 0.01;

describe('boxesMeet', () => {
  it('agrees with the area that a polygon clipper finds', () => {
    fc.assert(
      fc.property(box, box, (a, b) => {
        const area = sharedAreaMm2(corners(a, 0), corners(b, 0));
        if (area > TOUCH_MM2) expect(boxesMeet(a, b)).toBe(true);
        else expect(boxesMeet(shrunk(a), shrunk(b))).toBe(false);
      }),
      { numRuns: 2000 },
    );
  });
});

describe('boxMeetsLine', () => {
  it('agrees with a hair-thin polygon along the line', () => {
    fc.assert(
      fc.property(box, point, point, (a, from, to) => {
        fc.pre(Math.hypot(to.x - from.x, to.y - from.y) > 0.1);
        // A line that passes outside within a hair shares area too: only what lies a hair deep is surely met.
        const deep = sharedAreaMm2(corners(a, -HAIR_MM), hair(from, to));
        if (deep > TOUCH_MM2) expect(boxMeetsLine(a, from, to)).toBe(true);
        const area = sharedAreaMm2(corners(a, 0), hair(from, to));
        if (area <= TOUCH_MM2) expect(boxMeetsLine(shrunk(a), from, to)).toBe(false);
      }),
      { numRuns: 2000 },
    );
  });

  it('sees a line that lies wholly inside', () => {
    const a: Box = { centre: { x: 0, y: 0 }, halfWidthMm: 5, halfHeightMm: 5, angleRad: 0.3 };
    expect(boxMeetsLine(a, { x: -1, y: 0 }, { x: 1, y: 0 })).toBe(true);
  });
});

function shrunk(a: Box): Box {
  return { ...a, halfWidthMm: a.halfWidthMm - 0.05, halfHeightMm: a.halfHeightMm - 0.05 };
}

function corners({ centre, halfWidthMm: w, halfHeightMm: h, angleRad }: Box, grow: number): Point[] {
  const turn = (x: number, y: number): Point => ({
    x: centre.x + x * Math.cos(angleRad) - y * Math.sin(angleRad),
    y: centre.y + x * Math.sin(angleRad) + y * Math.cos(angleRad),
  });
  return [
    turn(-w - grow, -h - grow),
    turn(w + grow, -h - grow),
    turn(w + grow, h + grow),
    turn(-w - grow, h + grow),
  ];
}

function hair(from: Point, to: Point): Point[] {
  const length = Math.hypot(to.x - from.x, to.y - from.y);
  const x = (-(to.y - from.y) / length) * HAIR_MM;
  const y = ((to.x - from.x) / length) * HAIR_MM;
  return [
    { x: from.x + x, y: from.y + y },
    { x: to.x + x, y: to.y + y },
    { x: to.x - x, y: to.y - y },
    { x: from.x - x, y: from.y - y },
  ];
}
