import { FAULT_KINDS } from './planted/fault-kinds.js';
import type { Rate } from './plant-and-look.js';

const HEAD = `# Planted faults

Written by \`FORKLINE_NIGHTLY=1 UPDATE_DOCS=1\` in \`libs/checking/planted-faults.spec.ts\`, which compares this page each night and
its kinds in every run.

Faults planted in patterns of ours that are sound by the word of the draft that made them, half as drafted and half with the
crotch dropped, each time with another size, above the tolerance of its check, and another place.

- **found**: by one of its names, on the right piece, within 1 to 40 mm of its place where it has one.
- **in sound**: sound patterns in which one of its names was said.
- **besides**: other findings in the patterns it was planted in, but those that the fault makes true as well (a point moved out
  of a cut line also makes its allowance uneven).
`;

/** Detection and false alarms by kind, as a page. */
export function faultPage(rates: readonly Rate[], soundCount: number): string {
  const [planted, found] = [rates, rates].map((all, i) =>
    all.reduce((sum, rate) => sum + (i === 0 ? rate.planted : rate.found), 0),
  );
  const rows = rates.map((rate) => {
    const codes = FAULT_KINDS.find(({ name }) => name === rate.kind)?.codes ?? [];
    const names = codes.map((code) => `\`${code}\``).join(' ');
    return `| ${rate.kind} | ${names} | ${rate.planted} | ${rate.found} | ${rate.soundAlarms} | ${rate.besides.length} |`;
  });
  return [
    HEAD,
    `${found} of ${planted} found, in ${rates.length} kinds; ${soundCount} sound patterns.`,
    '',
    '| fault | names | planted | found | in sound | besides |',
    '|---|---|---:|---:|---:|---:|',
    ...rows,
    '',
  ].join('\n');
}

export interface PageRow {
  readonly name: string;
  readonly codes: readonly string[];
  readonly planted: number;
  readonly found: number;
  readonly soundAlarms: number;
  readonly besides: number;
}

/** The rows of the page's table. */
export function pageRows(page: string): PageRow[] {
  return page
    .split('\n')
    .filter((row) => row.startsWith('| ') && !row.startsWith('| fault'))
    .map((row) => {
      const [name, codes, planted, found, soundAlarms, besides] = row.slice(2, -2).split(' | ');
      return {
        name,
        codes: codes.split(' ').map((code) => code.slice(1, -1)),
        planted: Number(planted),
        found: Number(found),
        soundAlarms: Number(soundAlarms),
        besides: Number(besides),
      };
    });
}
