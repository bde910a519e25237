import { describe, expect, it } from '@jest/globals';
import { at, cubic, DEG, distance, endDirection, line, startDirection, type Curve } from '#geometry';
import { chordLengthMm, chordPoints } from '../../test/support/chords.js';
import { endedAt, largestMoveMm, rootOf, turnedAtStart, withEndMoved, withFullness } from './bend-curve.js';

const waist = cubic(at(0, 0), at(40, 6), at(80, 2), at(120, 10));

describe('turnedAtStart', () => {
  it('turns the start by the angle asked for and keeps both ends and the other direction', () => {
    const turned = turnedAtStart(waist, 5 * DEG, waist, 3)!;
    expect(degrees(startDirection(turned.curve)) - degrees(startDirection(waist))).toBeCloseTo(5, 9);
    expect(endDirection(turned.curve)).toEqual(endDirection(waist));
    expect([turned.curve.p0, turned.curve.p3]).toEqual([waist.p0, waist.p3]);
  });

  it('shortens the handle where the whole of it would move the curve too far', () => {
    const straight = line(at(0, 0), at(99, 0));
    // The curve lies at most 4/9 of the handle's swing off its chord: 4/9 * 33 * sin(16) = 4.04 mm.
    expect(turnedAtStart(straight, 16 * DEG, straight, 4.1)!.curve.p1.y).toBeCloseTo(
      33 * Math.sin(16 * DEG),
      9,
    );
    const bounded = turnedAtStart(straight, 16 * DEG, straight, 3)!;
    expect(bounded.movedMm).toBeLessThanOrEqual(3);
    expect(distance(bounded.curve.p0, bounded.curve.p1)).toBeLessThan(33);
    expect(Math.max(...chordPoints(bounded.curve).map((p) => Math.abs(p.y)))).toBeCloseTo(bounded.movedMm, 2);
  });

  it('gives up rather than draw a hook', () => {
    const straight = line(at(0, 0), at(99, 0));
    expect(turnedAtStart(straight, 16 * DEG, straight, 1)).toBeUndefined();
    expect(turnedAtStart(line(at(0, 0), at(20, 0)), 1 * DEG, straight, 3)).toBeUndefined();
    expect(turnedAtStart(line(at(0, 0), at(0, 0)), 1 * DEG, straight, 3)).toBeUndefined();
  });

  it('counts the move from where the curve was given, not from where it was bent to', () => {
    // The line has already been moved down by 2.9 of the 3 mm.
    const [given, lowered] = [line(at(0, 0), at(99, 0)), line(at(0, -2.9), at(99, -2.9))];
    expect(turnedAtStart(lowered, -6 * DEG, given, 3)).toBeUndefined();
    expect(turnedAtStart(lowered, 6 * DEG, given, 3)?.movedMm).toBeCloseTo(2.9, 2);
  });

  it.each([
    ['at the start', cubic(at(0, 0), at(0, 0), at(60, 2), at(99, 9))],
    ['at the end', cubic(at(0, 0), at(33, -4), at(99, 9), at(99, 9))],
  ])('keeps the direction of the far end though a handle has no length %s', (_, curve: Curve) => {
    const turned = turnedAtStart(curve, 4 * DEG, curve, 5)!;
    expect(degrees(endDirection(turned.curve))).toBeCloseTo(degrees(endDirection(curve)), 9);
    expect(degrees(startDirection(turned.curve)) - degrees(startDirection(curve))).toBeCloseTo(4, 9);
  });
});

describe('endedAt', () => {
  it.each([-20, -0.5, 0, 0.5, 20])('cuts or carries on by %f mm along the same curve', (mm) => {
    const lengthMm = chordLengthMm([waist]) + mm;
    const ended = endedAt(waist, lengthMm, 0.001)!;
    expect(Math.abs(chordLengthMm([ended]) - lengthMm)).toBeLessThan(0.002);
    // The same cubic: its start and the direction there do not change, and it still passes the old end or before it.
    expect(startDirection(ended).y).toBeCloseTo(startDirection(waist).y, 12);
    if (mm > 0) expect(largestMoveMm(ended, waist)).toBeLessThan(0.02);
    else expect(largestMoveMm(waist, ended)).toBeLessThan(0.02);
  });

  it('does not carry on by more than half', () => {
    expect(chordLengthMm([endedAt(line(at(0, 0), at(10, 0)), 14.9, 0.001)!])).toBeCloseTo(14.9, 6);
    expect(endedAt(line(at(0, 0), at(10, 0)), 15.1, 0.001)).toBeUndefined();
  });
});

describe('largestMoveMm', () => {
  it('is the height of a bow over its chord', () => {
    // Handles of a third, 40 mm up: the middle of the cubic lies 3/4 of that off the line.
    const bow = cubic(at(0, 0), at(30, 40), at(60, 40), at(90, 0));
    expect(largestMoveMm(line(at(0, 0), at(90, 0)), bow)).toBeCloseTo(30, 6);
    expect(largestMoveMm(bow, bow)).toBeLessThan(0.01);
  });
});

describe('withFullness and withEndMoved', () => {
  it('keep the directions at both ends', () => {
    for (const curve of [withFullness(waist, 1.3), withEndMoved(waist, at(2, 5))]) {
      expect(degrees(startDirection(curve))).toBeCloseTo(degrees(startDirection(waist)), 9);
      expect(degrees(endDirection(curve))).toBeCloseTo(degrees(endDirection(waist)), 9);
    }
  });

  it('make a curve longer with longer handles', () => {
    expect(chordLengthMm([withFullness(waist, 1.3)])).toBeGreaterThan(chordLengthMm([waist]));
  });
});

describe('rootOf', () => {
  it('finds the root between two sides of it, at an end, or says that there is none', () => {
    expect(rootOf((x) => x * x - 2, 0, 2)).toBeCloseTo(Math.SQRT2, 12);
    expect(rootOf((x) => 1 - x, 1, 2)).toBe(1);
    expect(rootOf((x) => 2 - x, 1, 2)).toBe(2);
    expect(rootOf((x) => x * x + 1, -1, 1)).toBeUndefined();
  });
});

function degrees(p: { readonly x: number; readonly y: number }): number {
  return Math.atan2(p.y, p.x) / DEG;
}
