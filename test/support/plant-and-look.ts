import { CHECK_DEFAULTS, checkPattern } from '#checking';
import { distance } from '#geometry';
import type { FaultKind, Sound } from './planted/fault.js';

export interface Rate {
  readonly kind: string;
  readonly planted: number;
  readonly found: number;
  /** One line for each that was not found, or not where it is. */
  readonly missed: readonly string[];
  /** Sound patterns in which the check says it; counted by who has looked at them. */
  readonly soundAlarms: number;
  /** One line for each finding that neither names the fault nor follows from it. */
  readonly besides: readonly string[];
}

const WITHIN_MM = 40;

/** Plant one kind of fault many times, each with another size and place, and look for it by name and place. */
export function rateOf(kind: FaultKind, sound: readonly Sound[], times: number, next: () => number): Rate {
  let planted = 0;
  const missed: string[] = [];
  const besides: string[] = [];
  for (let i = 0; planted < times && i < 3 * times; i++) {
    const fault = kind.plant(sound[i % sound.length], next);
    if (fault === undefined) continue;
    planted += 1;
    const { findings } = checkPattern(fault.text, CHECK_DEFAULTS).report;
    besides.push(
      ...findings
        .filter(({ code }) => !kind.codes.includes(code) && kind.follows?.includes(code) !== true)
        .map(({ code, message }) => `${kind.name} ${i}: ${code} ${message}`),
    );
    const named = findings.filter(({ code }) => kind.codes.includes(code));
    const right = named.some(({ place }) => {
      if (fault.piece !== undefined && place.piece !== fault.piece) return false;
      return (
        fault.at === undefined ||
        (place.at !== undefined && distance(place.at, fault.at) <= (fault.withinMm ?? WITHIN_MM))
      );
    });
    if (!right)
      missed.push(
        `${kind.name} ${i}: ${named.length === 0 ? `not named, but ${findings.map(({ code }) => code).join(', ')}` : `named at ${JSON.stringify(named.map(({ place }) => place))} instead of ${fault.piece ?? ''} ${JSON.stringify(fault.at)}`}`,
      );
  }
  return {
    kind: kind.name,
    planted,
    found: planted - missed.length,
    missed,
    soundAlarms: 0,
    besides,
  };
}
