import { describe, expect, it } from '@jest/globals';
import { at, cubic, DEG, line, wayOverReach, type Curve } from './index.js';

/** The standard approximation of an arc that leaves the origin along +x and bends upwards; its radius is off by 0.03 %. */
function arc(radiusMm: number, angleRad: number): Curve {
  const k = (4 / 3) * Math.tan(angleRad / 4) * radiusMm;
  const end = at(radiusMm * Math.sin(angleRad), radiusMm * (1 - Math.cos(angleRad)));
  const [cos, sin] = [Math.cos(angleRad), Math.sin(angleRad)];
  return cubic(at(0, 0), at(k, 0), at(end.x - k * cos, end.y - k * sin), end);
}

const degrees = ({ x, y }: { readonly x: number; readonly y: number }): number => Math.atan2(y, x) / DEG;

describe('wayOverReach', () => {
  it('is the way of a straight line, whatever edges it is made of', () => {
    const chain = [line(at(0, 0), at(3, 4)), line(at(3, 4), at(30, 40))];
    expect(wayOverReach(chain, 10).x).toBeCloseTo(0.6, 12);
    expect(wayOverReach(chain, 10).y).toBeCloseTo(0.8, 12);
    expect(wayOverReach(chain.slice(0, 1), 10).x).toBeCloseTo(0.6, 12);
  });

  it.each([20, 40, 100, 400])('takes an even bend of %i mm radius off', (radiusMm) => {
    // Closed form: the chord of length c of a circle leans asin(c / 2r) off its tangent.
    const lean = (chordMm: number): number => Math.asin(chordMm / (2 * radiusMm)) / DEG;
    expect(degrees(wayOverReach([arc(radiusMm, 0.8)], 10))).toBeCloseTo(2 * lean(5) - lean(10), 2);
    expect(Math.abs(degrees(wayOverReach([arc(radiusMm, 0.8)], 10)))).toBeLessThan(0.3);
  });

  it('is not deceived by a tangent that hides in a short handle', () => {
    const hidden = cubic(at(0, 0), at(0.1, 0), at(20, 20), at(40, 40));
    expect(degrees(wayOverReach([hidden], 10))).toBeGreaterThan(40);
  });
});
