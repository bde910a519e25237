import { curveLength, endOf, flatten, flattenRing, ringContains, startOf, type Point } from '#geometry';
import type { BlockTolerances } from './block-tolerances.js';
import { checkRoles } from './check-roles.js';
import type { Finding, FindingPlace } from './finding.js';
import { inspectOutline, type OutlineInspection, type OutlineLimits } from './inspect-outline.js';
import { curvesOf, dartsOf, edgesOf, seamAtLevel, type Dart } from './outline.js';
import type { EdgeRole, Levels, Notch, Piece } from './piece.js';
import { inDegrees, inMm, longerBy } from './wording.js';

/** Every problem of one piece that can be seen without its partner. Its coordinates are numbers. */
export function checkPiece(piece: Piece, levels: Levels, tolerances: BlockTolerances): Finding[] {
  return [
    ...checkRoles(piece),
    ...(piece.edges.length === 0 ? [] : checkOutline(piece, tolerances.outline)),
    ...checkDarts(piece, tolerances),
    ...checkReach(piece, levels),
    ...checkHem(piece, levels, tolerances.levelMm),
    ...checkFork(piece),
    ...checkCrease(piece),
    ...piece.notches.flatMap((notch) => checkNotch(piece, notch, tolerances.outline.lengthToleranceMm)),
  ];
}

function checkOutline(piece: Piece, limits: OutlineLimits): Finding[] {
  const found = inspectOutline(piece, limits);
  return [
    ...found.gaps.map((gap) => outlineOpen(piece, gap)),
    ...found.crossings.map((at) => outlineCrosses(piece, at)),
    ...(found.orientation === 'clockwise' ? [] : [outlineReversed(piece)]),
    ...fineParts(piece, found),
  ];
}

function outlineOpen(piece: Piece, { edgeId, gapMm, at }: OutlineInspection['gaps'][number]): Finding {
  return {
    code: 'BLOCK_OUTLINE_OPEN',
    level: 'stop',
    message: `The outline of the ${piece.role} is open by ${gapMm.toFixed(3)} mm after edge ${edgeId}.`,
    action: 'Let every edge start where the one before it ends.',
    place: { piece: piece.role, part: edgeId, at },
    numbers: { gapMm },
  };
}

function outlineCrosses(piece: Piece, at: Point): Finding {
  return {
    code: 'BLOCK_OUTLINE_CROSSES',
    level: 'stop',
    message: `The outline of the ${piece.role} meets itself at (${at.x.toFixed(1)}, ${at.y.toFixed(1)}).`,
    action: 'Redraw the edges there so that they neither cross nor touch.',
    place: { piece: piece.role, part: 'outline', at },
  };
}

function outlineReversed(piece: Piece): Finding {
  return {
    code: 'BLOCK_OUTLINE_REVERSED',
    level: 'stop',
    message: `The outline of the ${piece.role} runs counter-clockwise.`,
    action: 'Let it run rise, inseam, hem, outseam, waist with the inseam on +x.',
    place: { piece: piece.role, part: 'outline', at: startOf(piece.edges[0].curve) },
  };
}

function fineParts(piece: Piece, found: OutlineInspection): Finding[] {
  const on = (part: string, at: Point): FindingPlace => ({ piece: piece.role, part, at });
  return [
    ...found.doubledPoints.map(({ edgeId, at }): Finding => ({
      code: 'BLOCK_POINT_DOUBLED',
      level: 'warning',
      message: `Edge ${edgeId} of the ${piece.role} has no length.`,
      action: 'Leave the edge out.',
      place: on(edgeId, at),
    })),
    ...found.shortEdges.map(({ edgeId, lengthMm, at }): Finding => ({
      code: 'BLOCK_EDGE_SHORT',
      level: 'warning',
      message: `Edge ${edgeId} of the ${piece.role} is only ${lengthMm.toFixed(3)} mm long.`,
      action: 'Join the edge to its neighbour.',
      place: on(edgeId, at),
      numbers: { lengthMm },
    })),
    ...found.slivers.map(({ angleDeg, at }): Finding => ({
      code: 'BLOCK_SLIVER',
      level: 'warning',
      message: `The outline of the ${piece.role} has a corner of ${inDegrees(angleDeg)}.`,
      action: 'Cut the point off, or draw it as a dart.',
      place: on('outline', at),
      numbers: { angleDeg },
    })),
  ];
}

function checkDarts(piece: Piece, tolerances: BlockTolerances): Finding[] {
  const legs = edgesOf(piece, 'dart');
  if (legs.length % 2 === 1) return [oddLeg(piece, legs.length, startOf(legs[legs.length - 1].curve))];
  const closed = piece.edges.filter((edge) => edge.role !== 'dart').map((edge) => edge.curve);
  const polygon = flattenRing(closed, tolerances.outline.flattenMm);
  return dartsOf(piece).flatMap((dart) => [
    ...(ringContains(polygon, dart.apex) ? [] : [dartOutside(piece, dart)]),
    ...checkDartLegs(piece, dart, tolerances),
  ]);
}

function oddLeg(piece: Piece, legCount: number, at: Point): Finding {
  return {
    code: 'BLOCK_DART_LEGS_ODD',
    level: 'stop',
    message: `The ${piece.role} has ${legCount} dart legs: one has no partner.`,
    action: 'Draw each open dart as two edges, from the waist to its point and back.',
    place: { piece: piece.role, part: 'dart', at },
    numbers: { legCount },
  };
}

function dartOutside(piece: Piece, { apex }: Dart): Finding {
  return {
    code: 'BLOCK_DART_OUTSIDE',
    level: 'stop',
    message: `A dart of the ${piece.role} has its point outside the piece.`,
    action: 'Move the point of the dart inside.',
    place: { piece: piece.role, part: 'dart', at: apex },
  };
}

function checkDartLegs(
  piece: Piece,
  { sideLeg, centreLeg, apex }: Dart,
  tolerances: BlockTolerances,
): Finding[] {
  const { lengthToleranceMm } = tolerances.outline;
  const sideLegMm = curveLength(sideLeg.curve, lengthToleranceMm);
  const centreLegMm = curveLength(centreLeg.curve, lengthToleranceMm);
  const differenceMm = sideLegMm - centreLegMm;
  if (Math.abs(differenceMm) <= tolerances.dartLegMm) return [];
  return [
    {
      code: 'BLOCK_DART_LEGS_UNEQUAL',
      level: 'warning',
      message: `The side leg of a dart of the ${piece.role} is ${longerBy(differenceMm)} than its centre leg.`,
      action: 'The legs are sewn to each other: they are trued before anything is drawn on the block.',
      place: { piece: piece.role, part: 'dart', at: apex },
      numbers: { sideLegMm, centreLegMm, differenceMm },
    },
  ];
}

/** The seams that balance lines end on. */
const REACHES: readonly (readonly [role: EdgeRole, level: 'knee' | 'hip'])[] = [
  ['inseam', 'knee'],
  ['outseam', 'knee'],
  ['outseam', 'hip'],
];

function checkReach(piece: Piece, levels: Levels): Finding[] {
  return REACHES.flatMap(([role, level]) => {
    const [first] = curvesOf(piece, role);
    const levelMm = levels[level];
    if (first === undefined || seamAtLevel(piece, role, levelMm) !== undefined) return [];
    return [
      {
        code: 'BLOCK_LEVEL_MISSED',
        level: 'stop',
        message: `The ${role} of the ${piece.role} does not reach the ${level} level (${inMm(levelMm)}).`,
        action: `Correct the ${level} level, or the ${role}.`,
        place: { piece: piece.role, part: role, at: startOf(first) },
        numbers: { levelMm },
      },
    ];
  });
}

function checkHem(piece: Piece, levels: Levels, toleranceMm: number): Finding[] {
  const hem = curvesOf(piece, 'hem');
  if (hem.length === 0) return [];
  const heights = hem.flatMap((curve) => flatten(curve, HEM_FLATTEN_MM).map((p) => p.y));
  const lowMm = Math.min(...heights);
  const highMm = Math.max(...heights);
  const place = { piece: piece.role, part: 'hem', at: startOf(hem[0]) };
  const slanted: Finding = {
    code: 'BLOCK_HEM_SLANTED',
    level: 'stop',
    message: `The hem of the ${piece.role} is not level: it lies between ${inMm(lowMm)} and ${inMm(highMm)}.`,
    action: 'Draw the hem of a block level; finishing shapes it.',
    place,
    numbers: { lowMm, highMm },
  };
  if (highMm - lowMm > toleranceMm) return [slanted];
  const hemMm = (lowMm + highMm) / 2;
  const elsewhere: Finding = {
    code: 'BLOCK_HEM_LEVEL',
    level: 'stop',
    message: `The hem of the ${piece.role} lies at ${inMm(hemMm)}, the hem level at ${inMm(levels.hem)}.`,
    action: 'Correct the hem level, or move the hem.',
    place,
    numbers: { hemMm, levelMm: levels.hem },
  };
  return Math.abs(hemMm - levels.hem) > toleranceMm ? [elsewhere] : [];
}

/** A tenth of the millimetre a hem may be off its level. */
const HEM_FLATTEN_MM = 0.1;

function checkFork(piece: Piece): Finding[] {
  const rise = curvesOf(piece, 'rise');
  if (rise.length === 0) return [];
  const fork = endOf(rise[rise.length - 1]);
  if (fork.x > 0) return [];
  return [
    {
      code: 'BLOCK_FORK_SIDE',
      level: 'stop',
      message: `The fork of the ${piece.role} lies ${inMm(-fork.x)} on the outseam side of the crease.`,
      action: 'Put the crease at x = 0 with the inseam on +x; mirror the piece if need be.',
      place: { piece: piece.role, part: 'fork', at: fork },
      numbers: { forkMm: fork.x },
    },
  ];
}

function checkCrease(piece: Piece): Finding[] {
  const hem = curvesOf(piece, 'hem');
  if (hem.length === 0) return [];
  const inseamMm = startOf(hem[0]).x;
  const outseamMm = endOf(hem[hem.length - 1]).x;
  if (outseamMm < 0 && inseamMm > 0) return [];
  return [
    {
      code: 'BLOCK_CREASE_OUTSIDE_HEM',
      level: 'stop',
      message: `The crease of the ${piece.role} does not run through its hem (outseam at ${inMm(outseamMm)}, inseam at ${inMm(inseamMm)}).`,
      action: 'Move the piece so that its crease stands upright at x = 0, with the inseam on +x.',
      place: { piece: piece.role, part: 'hem', at: startOf(hem[0]) },
      numbers: { inseamMm, outseamMm },
    },
  ];
}

function checkNotch(piece: Piece, notch: Notch, lengthToleranceMm: number): Finding[] {
  const { edgeId, fromStartMm } = notch;
  const called = notch.name === undefined ? 'A notch' : `The ${notch.name} notch`;
  const edge = piece.edges.find((candidate) => candidate.id === edgeId);
  if (edge === undefined) {
    return [
      {
        code: 'BLOCK_NOTCH_EDGE',
        level: 'stop',
        message: `${called} of the ${piece.role} is set on edge ${edgeId}, which the piece does not have.`,
        action: 'Set the notch on an edge of its own piece.',
        place: { piece: piece.role, part: edgeId },
      },
    ];
  }
  const lengthMm = curveLength(edge.curve, lengthToleranceMm);
  if (fromStartMm >= 0 && fromStartMm <= lengthMm + lengthToleranceMm) return [];
  return [
    {
      code: 'BLOCK_NOTCH_PAST_EDGE',
      level: 'stop',
      message: `${called} of the ${piece.role} is set ${inMm(fromStartMm)} along edge ${edgeId}, which is ${inMm(lengthMm)} long.`,
      action: 'Set the notch within its edge, measured from the start of the edge.',
      place: { piece: piece.role, part: edgeId, at: startOf(edge.curve) },
      numbers: { fromStartMm, lengthMm },
    },
  ];
}
