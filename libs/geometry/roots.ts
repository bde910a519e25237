/** Halving [0, 1] this often ends at 2^-53, the last step a double can tell apart. */
export const BISECTION_STEPS_MAX = 53;

/** Where the cubic with these Bernstein coefficients is zero, ascending, within [0, 1]. */
export function bernsteinRoots(d0: number, d1: number, d2: number, d3: number): number[] {
  // The values lie between the smallest and the largest coefficient.
  if ((d0 > 0 && d1 > 0 && d2 > 0 && d3 > 0) || (d0 < 0 && d1 < 0 && d2 < 0 && d3 < 0)) return [];
  const value = (t: number): number => {
    const s = 1 - t;
    return s * s * s * d0 + 3 * s * s * t * d1 + 3 * s * t * t * d2 + t * t * t * d3;
  };
  // The slope is a(1-t)^2 + 2b(1-t)t + ct^2 times three.
  const a = d1 - d0;
  const b = d2 - d1;
  const c = d3 - d2;
  const slope = (t: number): number => 3 * (a * (1 - t) * (1 - t) + 2 * b * (1 - t) * t + c * t * t);
  const stops = [0, ...quadraticRoots(a - 2 * b + c, 2 * (b - a), a), 1];
  const roots: number[] = [];
  for (let i = 0; i + 1 < stops.length; i++) {
    const low = stops[i];
    const high = stops[i + 1];
    const atLow = value(low);
    const atHigh = value(high);
    if (atLow === 0) roots.push(low);
    if (atLow * atHigh < 0) roots.push(newtonWithin(value, slope, low, high));
    if (i + 2 === stops.length && atHigh === 0) roots.push(high);
  }
  return roots.filter((t, i) => i === 0 || t !== roots[i - 1]);
}

/** Roots of a t^2 + b t + c strictly within (0, 1), ascending. */
export function quadraticRoots(a: number, b: number, c: number): number[] {
  const inside = (t: number): boolean => t > 0 && t < 1;
  if (a === 0) return b === 0 ? [] : [-c / b].filter(inside);
  const discriminant = b * b - 4 * a * c;
  if (discriminant <= 0) return [];
  // The sum that does not cancel, then the other root from the product.
  const q = -(b + (b < 0 ? -1 : 1) * Math.sqrt(discriminant)) / 2;
  return [q / a, c / q].filter(inside).sort((s, t) => s - t);
}

// Newton's method, halving instead where it would leave the bracket or does not narrow it fast enough: a simple root
// takes about five steps, any other no more than halving alone.
function newtonWithin(
  value: (t: number) => number,
  slope: (t: number) => number,
  from: number,
  to: number,
): number {
  let low = from;
  let high = to;
  const rising = value(low) < 0;
  let t = (low + high) / 2;
  for (let step = 0; step < BISECTION_STEPS_MAX; step++) {
    const here = value(t);
    if (here === 0) return t;
    if (here < 0 === rising) low = t;
    else high = t;
    const newton = t - here / slope(t);
    const isInside = newton > low && newton < high;
    const next = isInside && step % 8 !== 7 ? newton : (low + high) / 2;
    if (Math.abs(next - t) <= ROOT_ROUNDING) return next;
    t = next;
  }
  return bisect(value, low, high);
}

/** A step this short, of a parameter in [0, 1], is rounding. */
const ROOT_ROUNDING = 2 ** -52;

/** Where `value`, of one sign at `from` and of the other at `to`, is zero: to the last step of a double. */
export function bisect(value: (t: number) => number, from: number, to: number): number {
  let low = from;
  let high = to;
  const rising = value(low) < 0;
  for (let step = 0; step < BISECTION_STEPS_MAX; step++) {
    const middle = (low + high) / 2;
    if (value(middle) < 0 === rising) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
