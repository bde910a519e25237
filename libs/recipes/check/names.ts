import { nearestName } from '#spelling';
import type { Quantity } from '../formula/formula.js';

/** What a name may be: an amount, a condition, one of some words, or a point, whose x and y are amounts. */
export type Known = Quantity | 'point';

/** After so many hints no more are looked for: each costs some work, and nobody reads them. */
const HINTS_MAX = 8;

const THIS = 'this.';

/** Which piece a step stands on: `this.` in its formulas and references is that piece. */
export type Standing = 'front' | 'back' | 'both' | undefined;

/** What is known at a place of a recipe: what every recipe knows, and what this one has given so far. */
export class Names {
  private hints = 0;

  constructor(
    private readonly standing: ReadonlyMap<string, Known>,
    private readonly given: ReadonlyMap<string, Known> = new Map(),
  ) {}

  /** With more names, for the steps that follow or those inside a condition. */
  with(added: readonly (readonly [string, Known])[]): Names {
    if (added.length === 0) return this;
    const names = new Names(this.standing, new Map([...this.given, ...added]));
    names.hints = this.hints;
    return names;
  }

  has(name: string): boolean {
    return this.get(name) !== undefined;
  }

  /** What a name of a formula is there: points are known by their x and y. */
  quantity(name: string, standing: Standing): Quantity | undefined {
    const found = this.find(name, standing);
    if (found !== undefined) return found === 'point' ? undefined : found;
    const of = /^(.+)\.[xy]$/.exec(name)?.[1];
    return of !== undefined && this.find(of, standing) === 'point' ? 'length' : undefined;
  }

  isPoint(name: string, standing: Standing): boolean {
    return this.find(name, standing) === 'point';
  }

  /** The known name most likely meant. */
  nearest(name: string, standing: Standing, kind: 'amount' | 'point'): string | undefined {
    this.hints++;
    if (this.hints > HINTS_MAX) return undefined;
    const own =
      standing === undefined
        ? []
        : [...this.standing.keys(), ...this.given.keys()].flatMap((known) => ofThis(known));
    const fitting = [...this.standing, ...this.given]
      .filter(([, known]) => (known === 'point') === (kind === 'point'))
      .map(([known]) => known);
    const known = [...fitting, ...own.filter((one) => this.fits(one, standing, kind))];
    const near = nearestName(name, known);
    if (near === undefined || isLikeInEachPart(name, near)) return near;
    // Seldom: only where the nearest of all is none.
    return nearestName(
      name,
      known.filter((one) => isLikeInEachPart(name, one)),
    );
  }

  private get(name: string): Known | undefined {
    return this.given.get(name) ?? this.standing.get(name);
  }

  private fits(name: string, standing: Standing, kind: 'amount' | 'point'): boolean {
    return kind === 'point' ? this.isPoint(name, standing) : this.quantity(name, standing) !== undefined;
  }

  private find(name: string, standing: Standing): Known | undefined {
    if (!name.startsWith(THIS)) return this.get(name);
    if (standing === undefined) return undefined;
    const own = name.slice(THIS.length);
    const found = (['front', 'back'] as const)
      .filter((piece) => standing === 'both' || piece === standing)
      .map((piece) => this.get(`${piece}.${own}`));
    return found.every((kind) => kind === found[0]) ? found[0] : undefined;
  }
}

function ofThis(name: string): string[] {
  return name.startsWith('front.') ? [name.replace('front.', THIS)] : [];
}

/** Not "body.knee" for "body.ankle": what the two begin with alike says nothing of what they name. */
function isLikeInEachPart(name: string, known: string): boolean {
  const parts = name.split('.');
  const others = known.split('.');
  if (parts.length !== others.length) return true;
  return parts.every((part, i) => part === others[i] || nearestName(part, [others[i]]) !== undefined);
}
