import type { Finding, Moved, Piece } from '#pattern';

/**
 * What an operation answers: its value and what it moved, or a refusal that says why and what to do.
 *
 * A refusal is a finding of level `stop`, never a throw: a pattern that cannot take a step is the customer's
 * matter, and the steps before it stay readable.
 */
export type Outcome<Value> = Done<Value> | Refused;

export interface Done<Value> {
  readonly state: 'done';
  readonly value: Value;
  readonly moved: readonly Moved[];
}

export interface Refused {
  readonly state: 'refused';
  readonly finding: Finding;
}

/** The two pieces of a leg, altered together: what is sewn to each other is drawn to each other. */
export interface PiecePair {
  readonly front: Piece;
  readonly back: Piece;
}

export function done<Value>(value: Value, moved: readonly Moved[] = []): Done<Value> {
  return { state: 'done', value, moved };
}

export function refused(finding: Omit<Finding, 'level'>): Refused {
  return { state: 'refused', finding: { ...finding, level: 'stop' } };
}

/** Run steps one after the other on what the one before made; the first refusal ends it. Records are collected. */
export function inOrder<Value>(
  start: Value,
  steps: readonly ((value: Value) => Outcome<Value>)[],
): Outcome<Value> {
  let value = start;
  const moved: Moved[] = [];
  for (const step of steps) {
    const outcome = step(value);
    if (outcome.state === 'refused') return outcome;
    value = outcome.value;
    moved.push(...outcome.moved);
  }
  return done(value, moved);
}

/** Run one step on the front and on the back. */
export function onBoth(pieces: PiecePair, step: (piece: Piece) => Outcome<Piece>): Outcome<PiecePair> {
  return inOrder<PiecePair>({ front: pieces.front, back: pieces.back }, [
    ({ front, back }) => renamed(step(front), (altered) => ({ front: altered, back })),
    ({ front, back }) => renamed(step(back), (altered) => ({ front, back: altered })),
  ]);
}

/** The same outcome with its value put into another form. */
export function renamed<A, B>(outcome: Outcome<A>, form: (value: A) => B): Outcome<B> {
  return outcome.state === 'refused' ? outcome : { ...outcome, value: form(outcome.value) };
}

/** A length as a cutter reads it: tenths of a millimetre, whole ones without a point. */
export function mm(value: number): string {
  return `${value.toFixed(1).replace(/\.0$/, '').replace(/^-0$/, '0')} mm`;
}
