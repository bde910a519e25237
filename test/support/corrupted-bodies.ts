import type { Body, MeasureName } from '#measurements';

type Taken = Body['measures'];

/** One slip of the pen, on any body. */
export interface Corruption {
  readonly name: string;
  /** The measures with the slip in them; undefined where the body does not have the measure. */
  readonly of: (taken: Taken) => Taken | undefined;
  /** Why it cannot be found on everybody, where that is so. */
  readonly undetectable?: string;
}

const SOMEBODY_HAS_IT = 'the survey holds people with this measure beside the other ones';

function scaled(measure: MeasureName, percent: number, undetectable?: string): Corruption {
  const name = `${measure} ${percent > 0 ? '+' : ''}${percent} %`;
  return slip(name, measure, (mm) => Math.round(mm * (1 + percent / 100)), undetectable);
}

function slip(
  name: string,
  measure: MeasureName,
  change: (mm: number) => number,
  undetectable?: string,
): Corruption {
  return {
    name,
    of: (taken) => {
      const mm = taken[measure];
      return mm === undefined ? undefined : { ...taken, [measure]: change(mm) };
    },
    ...(undetectable === undefined ? {} : { undetectable }),
  };
}

const MEASURES: readonly MeasureName[] = [
  'waistGirth',
  'hipGirth',
  'thighGirth',
  'kneeGirth',
  'calfGirth',
  'ankleGirth',
  'heelGirth',
  'totalCrotchLength',
  'backCrotchLength',
  'waistHeight',
  'hipHeight',
  'insideLegLength',
  'kneeHeight',
  'stature',
];

/**
 * What goes wrong between a tape and a request: the slips on which the first implementation drafted without a word,
 * and the wrong unit of every measure.
 */
export const CORRUPTIONS: readonly Corruption[] = [
  scaled('waistGirth', 25, SOMEBODY_HAS_IT),
  scaled('waistGirth', -25, SOMEBODY_HAS_IT),
  scaled('hipGirth', 10, SOMEBODY_HAS_IT),
  scaled('hipGirth', -10, SOMEBODY_HAS_IT),
  scaled('hipGirth', 25),
  scaled('thighGirth', 10, SOMEBODY_HAS_IT),
  scaled('thighGirth', -10, SOMEBODY_HAS_IT),
  scaled('thighGirth', 25),
  {
    name: 'front and back crotch length exchanged',
    of: (taken) => {
      const { totalCrotchLength: total, backCrotchLength: back } = taken;
      return total === undefined || back === undefined
        ? undefined
        : { ...taken, backCrotchLength: total - back };
    },
    undetectable:
      'on one body in thirty the front is the longer one, and exchanged it looks like all the others',
  },
  scaled('insideLegLength', 10),
  scaled('insideLegLength', -10),
  scaled('waistHeight', 10),
  scaled('waistHeight', -10),
  ...MEASURES.flatMap((measure) => [
    slip(`${measure} in inches`, measure, (mm) => Number((mm / 25.4).toFixed(1))),
    slip(`${measure} in centimetres`, measure, (mm) => mm / 10),
    slip(`${measure} with a digit too many`, measure, (mm) => mm * 10),
  ]),
];

/** What became of one corruption on many bodies. */
export interface Detection {
  readonly name: string;
  readonly bodies: number;
  readonly refused: number;
  readonly asked: number;
  readonly unseen: number;
}

export function percentFound({ bodies, unseen }: Detection): number {
  return (100 * (bodies - unseen)) / bodies;
}
