import { distance } from '#geometry';
import {
  boxOf,
  unitsSaid,
  type DxfUnits,
  type ForeignLine,
  type ForeignPattern,
  type ForeignPiece,
} from '#interchange';
import { ASTM, CHOICE, type Found } from './check-report.js';
import type { CheckSettings } from './check-settings.js';

/** The size of the largest piece, as a check on the unit that the file, or the request, says. */
export function checkScale(
  pieces: readonly ForeignPiece[],
  { units, texts }: ForeignPattern,
  { outline }: CheckSettings,
): Found[] {
  const sized = pieces.flatMap((piece) =>
    piece.boundary === undefined ? [] : [{ piece, mm: diagonalMm(piece.boundary) }],
  );
  if (sized.length === 0) return [];
  const largest = sized.reduce((best, each) => (each.mm > best.mm ? each : best));
  if (largest.mm >= outline.pieceMmMin && largest.mm <= outline.pieceMmMax) return [];
  const isOfFile = unitsSaid(texts['Units']) !== undefined;
  return [
    {
      code: 'UNITS_DOUBTED',
      level: 'stop',
      message: `By the unit of the ${isOfFile ? 'file' : 'settings'} (${units}) its largest piece, ${largest.piece.name}, is ${largest.mm.toFixed(0)} mm from corner to corner: too ${largest.mm < outline.pieceMmMin ? 'small' : 'large'} for a trouser. Nothing that has a length was judged.`,
      action: isOfFile
        ? `Correct the text "Units:"; the coordinates may be ${othersOf(units)}.`
        : `Correct "units" in the settings; the file does not say its unit, and its coordinates may be ${othersOf(units)}.`,
      place: {
        piece: largest.piece.block,
        line: largest.piece.line,
        ...(largest.piece.boundary === undefined ? {} : { at: largest.piece.boundary.points[0] }),
      },
      numbers: { largestMm: largest.mm, leastMm: outline.pieceMmMin, mostMm: outline.pieceMmMax },
      basis: CHOICE,
    },
  ];
}

function othersOf(units: DxfUnits): string {
  return units === 'metric' ? 'inches' : 'millimetres';
}

/** That the request said one unit and the file another: the file's is the one its coordinates were written in. */
export function unitsFromFile({ texts }: ForeignPattern, { units }: CheckSettings): Found[] {
  const said = unitsSaid(texts['Units']);
  if (units === undefined || said === undefined || said === units) return [];
  return [
    {
      code: 'UNITS_FROM_FILE',
      level: 'info',
      message: `The file says that its unit is ${said}, and was read so; the settings say ${units}.`,
      action: 'Leave "units" out, or correct the text "Units:" in the file if that is wrong.',
      place: {},
      basis: ASTM,
    },
  ];
}

/** What is true of a file in any unit. */
const WITHOUT_LENGTH =
  /^(DXF_|UNITS_|SIZE_|SIZES_|RUL_|GRADE_TABLE_|GRADE_RULE_MISSING$|GRADE_RULES_UNUSED$|GRADE_SAMPLE_OTHER$|KIND_|PIECE_NAME_|PIECE_TOO_|QUANTITY_|GRAIN_MISSING$|PAIR_NOT_MIRRORED$|TOO_MANY_)/;

/** With the unit in doubt a length is no length: only what needs none is said. */
export function withoutLengths(found: readonly Found[]): Found[] {
  return found.filter(({ code }) => WITHOUT_LENGTH.test(code));
}

function diagonalMm({ points }: ForeignLine): number {
  const { left, right, bottom, top } = boxOf(points);
  return distance({ x: left, y: bottom }, { x: right, y: top });
}
