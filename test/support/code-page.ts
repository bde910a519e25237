import {
  CHECK_DEFAULTS,
  FINDING_CODES,
  FINDING_SUBJECTS,
  TOLERANCE_NAMES,
  type CheckSettings,
  type ToleranceName,
} from '#checking';
import { allowedInWords, readCheckSettings } from '#contracts';

/** Between these lines the page is written, by the test that compares it. */
export const BEGIN =
  '<!-- Written by `UPDATE_DOCS=1` in libs/contracts/code-page.spec.ts from libs/checking/finding-codes.ts. -->';
export const END = '<!-- Written to here. -->';

const MEANINGS: Readonly<
  Record<ToleranceName, readonly [says: string, of: (settings: CheckSettings) => number]>
> = {
  seamPair: ['two seams that are sewn to each other may differ by it', ({ truing }) => truing.seamPairMm],
  stretch: [
    'how much shorter than the front the back inseam is meant to be, to be stretched above the knee',
    ({ truing }) => truing.intendedStretchMm,
  ],
  dartLegs: ['the two legs of a dart may differ by it', ({ truing }) => truing.dartLegMm],
  notch: ['two notches may miss each other by it, along the seam', ({ truing }) => truing.notchMm],
  level: [
    'two balance lines (hip, crotch, knee) may miss each other by it, along the seam',
    ({ truing }) => truing.levelMm,
  ],
  corner: [
    'two corners that are sewn to a straight line may be off it by this, as may the waist over a closed dart',
    ({ truing }) => truing.cornerSumDeg,
  ],
  square: [
    'the waist may be off the square by this at centre front and back',
    ({ truing }) => truing.squareDeg,
  ],
  curve: [
    'the curves that are drawn through the points of the file may lie this far from them; it governs no finding of its own',
    ({ curveMm }) => curveMm,
  ],
  allowance: [
    'the allowances of two edges that are sewn together may differ by it',
    ({ allowance }) => allowance.pairMm,
  ],
  kink: [
    'a turn within a curve up to this is none; from 25 degrees it is a corner',
    ({ outline }) => outline.kinkDeg,
  ],
  mirror: ['a left and a right, laid on each other mirrored, may differ by it', ({ mirrorMm }) => mirrorMm],
};

/** What may be sent under `tolerances`, and every code that a check can give, as tables. */
export function codeTables(): string {
  return [
    BEGIN,
    '<!-- prettier-ignore-start -->',
    '',
    '| tolerance | | when left out | allowed |',
    '|---|---|---|---|',
    ...TOLERANCE_NAMES.map((name) => {
      const [says, of] = MEANINGS[name];
      const { words, unit } = rangeOf(name);
      return `| \`${name}\` | ${says} | ${inUnit(of(CHECK_DEFAULTS), unit)} | ${words} |`;
    }),
    '',
    ...FINDING_SUBJECTS.flatMap((about) => [
      `| about ${about} | level | what it means | tolerance | corrected |`,
      '|---|---|---|---|---|',
      ...Object.entries(FINDING_CODES)
        .filter(([, code]) => code.about === about)
        .map(([name, { levels, says, tolerances = [], isCorrectable }]) => {
          const governed = tolerances.map((each) => `\`${each}\``).join(' ');
          return `| \`${name}\` | ${levels.join(' or ')} | ${says} | ${governed} | ${isCorrectable ? 'can be' : ''} |`;
        }),
      '',
    ]),
    '<!-- prettier-ignore-end -->',
    END,
  ].join('\n');
}

function inUnit(value: number, unit: string): string {
  return `${value} ${value === 1 && unit === 'degrees' ? 'degree' : unit}`;
}

/** As the contract refuses what lies outside of it. */
function rangeOf(name: ToleranceName): { readonly words: string; readonly unit: string } {
  const read = readCheckSettings({ tolerances: { [name]: -1e6 } });
  const allowed = read.ok ? undefined : read.problems[0]?.allowed;
  if (allowed === undefined || !('unit' in allowed)) throw new Error(`NO_RANGE ${name}`);
  return { words: allowedInWords(allowed), unit: allowed.unit };
}
