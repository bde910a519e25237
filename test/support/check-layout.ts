import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import type { Marker, MarkerRequest } from '#marker';

/** What shapely says about a layout. Areas and lengths in the unit of the request. */
export interface LayoutOpinion {
  readonly overlapArea: number;
  /** Least distance between two pieces near each other; null when none are. */
  readonly nearest: number | null;
  /** How far the farthest corner leaves the usable cloth; 0 or less when none does. */
  readonly outside: number;
  readonly demandMet: boolean;
  readonly turnedWrong: number;
  /** Pieces whose grain, as it comes to lie, runs against the nap. */
  readonly againstNap: number;
  readonly utilisation: number;
}

export function layoutOpinions(
  python: string,
  jobs: readonly { readonly request: MarkerRequest; readonly marker: Marker }[],
): LayoutOpinion[] {
  const script = join(import.meta.dirname, '../../../test/outside/check-layout.py');
  const input = jobs
    .map(({ request, marker }) =>
      JSON.stringify({ request, length: marker.figures.length, placements: marker.placements }),
    )
    .join('\n');
  const { stdout, stderr, status } = spawnSync(python, [script], {
    input,
    encoding: 'utf8',
    maxBuffer: 1 << 28,
  });
  if (status !== 0) throw new Error(stderr);
  return stdout
    .trim()
    .split('\n')
    .map((row) => JSON.parse(row) as LayoutOpinion);
}
