import { startOf } from '#geometry';
import type { Finding } from './finding.js';
import type { Edge, EdgeRole, Piece } from './piece.js';

/** The runs an outline is made of, from the first rise edge; darts lie within the waist. */
const RUNS_IN_ORDER = ['rise', 'inseam', 'hem', 'outseam', 'waist'] as const;

/**
 * Whether an outline is made of one run each of rise, inseam, hem, outseam and waist, in that order, with darts in
 * the waist only. One finding per fault.
 */
export function checkRoles(piece: Piece): Finding[] {
  const runs = runsOf(piece.edges);
  const missing = RUNS_IN_ORDER.filter((role) => !runs.some((run) => run.role === role));
  const faults = [...missing.map((role) => roleMissing(piece, role)), ...strayDarts(piece, runs)];
  const seams = joined(runs.filter((run) => run.role !== 'dart'));
  const split = RUNS_IN_ORDER.filter((role) => seams.filter((run) => run.role === role).length > 1);
  if (split.length > 0) return [...faults, ...split.map((role) => roleSplit(piece, role, seams))];
  const found = seams.map((run) => run.role);
  const wanted = RUNS_IN_ORDER.filter((role) => found.includes(role));
  const inOrder = found.every((role, i) => role === wanted[i]);
  return inOrder ? faults : [...faults, wrongOrder(piece, found)];
}

interface Run {
  readonly role: EdgeRole;
  readonly first: Edge;
}

function runsOf(edges: readonly Edge[]): Run[] {
  return joined(edges.map((edge) => ({ role: edge.role, first: edge })));
}

function joined(runs: readonly Run[]): Run[] {
  return runs.filter((run, i) => i === 0 || run.role !== runs[i - 1].role);
}

function strayDarts(piece: Piece, runs: readonly Run[]): Finding[] {
  return runs.flatMap((run, i) => {
    if (run.role !== 'dart') return [];
    const before = runs[(i + runs.length - 1) % runs.length].role;
    const after = runs[(i + 1) % runs.length].role;
    if ((before === 'waist' || before === 'outseam') && (after === 'waist' || after === 'rise')) return [];
    return [
      {
        code: 'BLOCK_DART_PLACE',
        level: 'stop',
        message: `A dart of the ${piece.role} lies between ${before} and ${after}, not in the waist.`,
        action: 'Move the dart into the waist, or give its edges the role of the seam they belong to.',
        place: { piece: piece.role, part: 'dart', at: startOf(run.first.curve) },
      },
    ];
  });
}

function roleMissing(piece: Piece, role: EdgeRole): Finding {
  return {
    code: 'BLOCK_ROLE_MISSING',
    level: 'stop',
    message: `The ${piece.role} has no ${role}.`,
    action: `Give the edges of the ${role} that role.`,
    place: { piece: piece.role, part: role },
  };
}

function roleSplit(piece: Piece, role: EdgeRole, seams: readonly Run[]): Finding {
  const runs = seams.filter((run) => run.role === role);
  return {
    code: 'BLOCK_ROLE_SPLIT',
    level: 'stop',
    message: `The ${role} of the ${piece.role} is not one run: it starts ${runs.length} times.`,
    action: `Let the edges of the ${role} follow each other; a rise is its straight part and its crotch curve together.`,
    place: { piece: piece.role, part: role, at: startOf(runs[1].first.curve) },
    numbers: { runCount: runs.length },
  };
}

function wrongOrder(piece: Piece, found: readonly EdgeRole[]): Finding {
  return {
    code: 'BLOCK_ROLE_ORDER',
    level: 'stop',
    message: `The outline of the ${piece.role} runs ${found.join(', ')}.`,
    action: `Let it run ${RUNS_IN_ORDER.join(', ')}, with the inseam on +x.`,
    place: { piece: piece.role, part: 'outline', at: startOf(piece.edges[0].curve) },
  };
}
