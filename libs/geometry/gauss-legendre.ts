/**
 * Nodes and weights of Gauss-Legendre quadrature on [0, 1], by Newton on the Legendre polynomial.
 *
 * Source  Abramowitz & Stegun 25.4.29 and 25.4.30; the Chebyshev-like first guess is the usual one.
 */
export function gaussLegendre(count: number): {
  readonly nodes: Float64Array;
  readonly weights: Float64Array;
} {
  const nodes = new Float64Array(count);
  const weights = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    let x = Math.cos((Math.PI * (i + 0.75)) / (count + 0.5));
    let slope = 1;
    for (let step = 0; step < NEWTON_STEPS; step++) {
      const { value, derivative } = legendre(count, x);
      slope = derivative;
      x -= value / derivative;
    }
    nodes[i] = (1 - x) / 2;
    weights[i] = 1 / ((1 - x * x) * slope * slope);
  }
  return { nodes, weights };
}

/** Newton converges quadratically from the first guess; eight steps are more than a double can tell apart. */
const NEWTON_STEPS = 8;

function legendre(degree: number, x: number): { value: number; derivative: number } {
  let previous = 1;
  let value = x;
  for (let k = 2; k <= degree; k++) {
    [previous, value] = [value, ((2 * k - 1) * x * value - (k - 1) * previous) / k];
  }
  return { value, derivative: (degree * (x * value - previous)) / (x * x - 1) };
}
