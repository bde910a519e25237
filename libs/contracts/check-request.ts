import { CHECK_DEFAULTS, type CheckSettings, type PieceKind } from '#checking';
import { fields, length, line, list, number, oneOf } from './field.js';
import { point } from './given-block.js';
import { issuesToProblems } from './issues-to-problems.js';
import { limitProblems } from './json-limits.js';
import { atMost, type Parsed } from './problem.js';

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
}).meta({ id: 'CheckTolerances' });

export const CHECK_SETTINGS = fields({
  units: oneOf(['metric', 'english', 'cm']).optional(),
  size: name.optional(),
  kinds: list(fields({ piece: name, kind: oneOf(KINDS) }), PIECES_MAX).optional(),
  seams: list(SEAM_PAIR, SEAMS_MAX).optional(),
  hemOpening: length({ min: 50, max: 1000 }).optional(),
  tolerances: CHECK_TOLERANCES.optional(),
}).meta({ id: 'CheckSettings' });

/** What a check is asked to know and to hold a pattern to, from JSON; what is left out is as the trade has it. Every problem at once. */
export function readCheckSettings(json: unknown): Parsed<CheckSettings> {
  const limits = limitProblems(json);
  if (limits.length > 0) return { ok: false, problems: atMost(limits) };
  const parsed = CHECK_SETTINGS.safeParse(json);
  if (!parsed.success) return { ok: false, problems: atMost(issuesToProblems(parsed.error.issues, json)) };
  const { units, size, kinds = [], seams = [], hemOpening, tolerances = {} } = parsed.data;
  const { truing } = CHECK_DEFAULTS;
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
  };
  return { ok: true, value };
}
