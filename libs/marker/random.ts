/**
 * A seeded generator: sfc32 of the PractRand suite (C. Doty-Humphrey), 128 bits of state, 32-bit integer steps
 * only, so that every engine draws the same numbers from the same seed.
 */
export class Random {
  private a = 0;
  private b = 0;
  private c = 0;
  private counter = 1;

  /** `stream` separates chains that share a seed; both are taken modulo 2^32. */
  constructor(seed: number, stream = 0) {
    this.a = seed | 0;
    this.b = stream | 0;
    this.c = 0x9e3779b9 | 0;
    // Twelve rounds mix a small seed into all of the state (the number its author gives).
    for (let round = 0; round < 12; round++) this.next();
  }

  /** A number in [0, 1), a multiple of 2^-32. */
  next(): number {
    const sum = (((this.a + this.b) | 0) + this.counter) | 0;
    this.counter = (this.counter + 1) | 0;
    this.a = this.b ^ (this.b >>> 9);
    this.b = (this.c + (this.c << 3)) | 0;
    this.c = ((this.c << 21) | (this.c >>> 11)) + sum;
    this.c |= 0;
    return (sum >>> 0) / 4294967296;
  }

  /** A whole number in 0..count-1. */
  below(count: number): number {
    return (this.next() * count) | 0;
  }
}
