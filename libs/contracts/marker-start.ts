import type { StartPlace } from '#marker';
import { either, field, fields, index, line, list, number, wrongType, type Read } from './field.js';
import { issuesToProblems } from './issues-to-problems.js';
import { atMost, type Parsed } from './problem.js';

const PLACES_MAX = 5000;
const NAME_LENGTH_MAX = 64;
const COORDINATE = { min: -1e9, max: 1e9, unit: '' };
const TURN = { min: -360, max: 360, unit: 'degrees' };

const NUMBERED = index(Number.MAX_SAFE_INTEGER);
const NAMED = line(NAME_LENGTH_MAX);
const PIECE_NAME = either<string | number>(
  (found) => (typeof found === 'number' ? NUMBERED : NAMED),
  [NUMBERED, NAMED],
);

const TRUTH = field({ form: 'true or false' }, (found): Read<boolean> =>
  typeof found === 'boolean' ? { value: found } : { fault: wrongType(found, { form: 'true or false' }) },
);

const EARLIER_LAYOUT = fields({
  placements: list(
    fields({
      piece: PIECE_NAME,
      garment: line(NAME_LENGTH_MAX).optional(),
      turn: number(TURN),
      mirrored: TRUTH,
      x: number(COORDINATE),
      y: number(COORDINATE),
    }),
    PLACES_MAX,
  ),
});

/**
 * Read the places of a layout that was laid before, or say everything that is wrong with its form.
 *
 * Shape  garments are known by reference; a place whose garment is not among `references` is left out, since the earlier
 *        layout may have held more. One that names no garment serves any. Figures and all else beside the places are
 *        passed over: they are worked out again.
 */
export function readStartPlaces(json: unknown, references: readonly string[]): Parsed<readonly StartPlace[]> {
  const isObject = typeof json === 'object' && json !== null && 'placements' in json;
  const places = isObject ? { placements: json.placements } : json;
  const parsed = EARLIER_LAYOUT.safeParse(places);
  if (!parsed.success) return { ok: false, problems: atMost(issuesToProblems(parsed.error.issues, places)) };
  const value = parsed.data.placements.flatMap(({ garment, ...place }): StartPlace[] => {
    if (garment === undefined) return [place];
    const g = references.indexOf(garment);
    return g < 0 ? [] : [{ ...place, garment: g }];
  });
  return { ok: true, value };
}
