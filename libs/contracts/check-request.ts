import {
  CHECK_DEFAULTS,
  TOLERANCE_NAMES,
  type CheckSettings,
  type PieceKind,
  type ToleranceName,
} from '#checking';
import type { z } from 'zod';
import { fields, length, line, list, number, oneOf } from './field.js';
import { point } from './given-block.js';
import { issuesToProblems, toProblem, valueOf } from './issues-to-problems.js';
import { limitProblems } from './json-limits.js';
import { atMost, foundInWords, type Parsed, type Problem } from './problem.js';

const KINDS = [
  'front',
  'back',
  'waistband',
  'fly',
  'pocket',
  'other',
] as const satisfies readonly PieceKind[];
const PIECES_MAX = 400;
export const SEAMS_MAX = 100;
const NAME_LENGTH_MAX = 64;

const name = line(NAME_LENGTH_MAX);
const stretch = fields({ piece: name, from: point, to: point });
const toleranceMm = (max: number) => length({ min: 0.01, max });
const toleranceDeg = number({ min: 0.01, max: 45, unit: 'degrees' });

/** Two stretches of outline that are sewn to each other. */
export const SEAM_PAIR = fields({
  name,
  first: stretch,
  second: stretch,
  ease: length({ min: -50, max: 50 }).optional(),
}).meta({ id: 'SeamPair' });

/** What a pattern is held to; what is left out is as the trade has it. */
export const CHECK_TOLERANCES = fields({
  seamPair: toleranceMm(20).optional(),
  stretch: length({ min: 0, max: 5 }).optional(),
  dartLegs: toleranceMm(20).optional(),
  notch: toleranceMm(20).optional(),
  level: toleranceMm(50).optional(),
  corner: toleranceDeg.optional(),
  square: toleranceDeg.optional(),
  curve: length({ min: 0.01, max: 1 }).optional(),
  allowance: toleranceMm(20).optional(),
  kink: toleranceDeg.optional(),
  mirror: toleranceMm(20).optional(),
} satisfies Record<ToleranceName, z.ZodType>).meta({ id: 'CheckTolerances' });

export const CHECK_SETTINGS = fields({
  units: oneOf(['metric', 'english', 'cm']).optional(),
  size: name.optional(),
  kinds: list(fields({ piece: name, kind: oneOf(KINDS) }), PIECES_MAX).optional(),
  seams: list(SEAM_PAIR, SEAMS_MAX).optional(),
  hemOpening: length({ min: 50, max: 1000 }).optional(),
  tolerances: CHECK_TOLERANCES.optional(),
}).meta({ id: 'CheckSettings' });

/** What the basis of a finding says where its tolerance was sent. */
export const AS_THE_REQUEST = 'as the request says';

/** What a check is asked to know and to hold a pattern to, from JSON; what is left out is as the trade has it. Every problem at once. */
export function readCheckSettings(json: unknown): Parsed<CheckSettings> {
  return readSettings(json, kindProblems(json, []));
}

/** Settings that were accepted once, perhaps by an earlier release: what is refused by now is read as it was then. */
export function readStoredSettings(json: unknown): Parsed<CheckSettings> {
  return readSettings(json, []);
}

/** A piece that is said twice would be followed once: as which, nobody could tell. */
export function kindProblems(settings: unknown, path: readonly PropertyKey[]): Problem[] {
  const kinds = valueOf(settings, 'kinds');
  if (!Array.isArray(kinds)) return [];
  const first = new Map<string, number>();
  return kinds.slice(0, PIECES_MAX).flatMap((entry: unknown, i) => {
    const piece = valueOf(entry, 'piece');
    if (typeof piece !== 'string') return [];
    const before = first.get(piece);
    if (before === undefined) {
      first.set(piece, i);
      return [];
    }
    return [
      toProblem([...path, 'kinds', i, 'piece'], piece, {
        code: 'CONFLICT',
        allowed: { form: 'each piece once' },
        says: `is ${foundInWords(piece)}, which kinds[${before}] has already`,
        action: 'Take one of them out.',
      }),
    ];
  });
}

function readSettings(json: unknown, more: readonly Problem[]): Parsed<CheckSettings> {
  const limits = limitProblems(json);
  if (limits.length > 0) return { ok: false, problems: atMost(limits) };
  const parsed = CHECK_SETTINGS.safeParse(json);
  const problems = [...(parsed.success ? [] : issuesToProblems(parsed.error.issues, json)), ...more];
  if (!parsed.success || problems.length > 0) return { ok: false, problems: atMost(problems) };
  const { units, size, kinds = [], seams = [], hemOpening, tolerances = {} } = parsed.data;
  const { truing } = CHECK_DEFAULTS;
  const said = TOLERANCE_NAMES.filter((each) => tolerances[each] !== undefined);
  const value: CheckSettings = {
    ...CHECK_DEFAULTS,
    ...(units === undefined ? {} : { units }),
    ...(size === undefined ? {} : { size }),
    ...(hemOpening === undefined ? {} : { hemOpeningMm: hemOpening }),
    kinds: Object.fromEntries(kinds.map(({ piece, kind }) => [piece, kind])),
    seams: seams.map(({ ease, ...seam }) => ({ ...seam, easeMm: ease ?? 0 })),
    truing: {
      ...truing,
      seamPairMm: tolerances.seamPair ?? truing.seamPairMm,
      intendedStretchMm: tolerances.stretch ?? truing.intendedStretchMm,
      dartLegMm: tolerances.dartLegs ?? truing.dartLegMm,
      notchMm: tolerances.notch ?? truing.notchMm,
      levelMm: tolerances.level ?? truing.levelMm,
      cornerSumDeg: tolerances.corner ?? truing.cornerSumDeg,
      squareDeg: tolerances.square ?? truing.squareDeg,
    },
    curveMm: tolerances.curve ?? CHECK_DEFAULTS.curveMm,
    outline: { ...CHECK_DEFAULTS.outline, kinkDeg: tolerances.kink ?? CHECK_DEFAULTS.outline.kinkDeg },
    allowance: {
      ...CHECK_DEFAULTS.allowance,
      pairMm: tolerances.allowance ?? CHECK_DEFAULTS.allowance.pairMm,
    },
    mirrorMm: tolerances.mirror ?? CHECK_DEFAULTS.mirrorMm,
    ...(said.length === 0 ? {} : { origins: Object.fromEntries(said.map((each) => [each, AS_THE_REQUEST])) }),
  };
  return { ok: true, value };
}
