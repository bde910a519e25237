import { add, along, DEG, distance, endDirection, endOf, lerp, line, turnAbout } from '#geometry';
import { kneeEdge } from './edge-places.js';
import { between, type FaultKind, LEGS, pieceFault, signed } from './fault.js';
import { shifted } from './outline-faults.js';

export const MARK_FAULTS: readonly FaultKind[] = [
  pieceFault('grain off the crease', ['GRAIN_OFF_CREASE'], LEGS, ({ grain, ...piece }, next) => {
    const middle = lerp(grain[0], grain[1], 0.5);
    const turn = signed(next, 0.8, 12) * DEG;
    return {
      piece: { ...piece, grain: [turnAbout(grain[0], middle, turn), turnAbout(grain[1], middle, turn)] },
    };
  }),
  pieceFault(
    'grain outside of its piece',
    ['GRAIN_OUTSIDE'],
    ['fly-facing', 'fly-shield', 'waistband'],
    ({ grain, ...piece }, next) => {
      const by = { x: signed(next, 300, 600), y: 0 };
      return { piece: { ...piece, grain: [add(grain[0], by), add(grain[1], by)] } };
    },
  ),
  pieceFault('drill hole outside', ['DRILL_OUTSIDE'], LEGS, (piece, next) => {
    const [hole] = piece.drillHoles;
    if (hole === undefined) return undefined;
    const at = add(hole.at, { x: signed(next, 400, 700), y: 0 });
    return {
      piece: { ...piece, drillHoles: [{ ...hole, at }, ...piece.drillHoles.slice(1)] },
      at,
      withinMm: 1,
    };
  }),
  pieceFault('drill hole in the allowance', ['DRILL_IN_ALLOWANCE'], LEGS, (piece) => {
    const notch = kneeEdge(piece);
    if (notch === undefined) return undefined;
    const at = along(notch.at, notch.inwards, 0.5 * distance(notch.at, notch.foot));
    return {
      piece: { ...piece, drillHoles: [...piece.drillHoles, { name: 'stray', at, diameterMm: 2 }] },
      at,
      withinMm: 1,
    };
  }),
  pieceFault('inner line runs out', ['LINE_OUTSIDE'], LEGS, (piece, next) => {
    const knee = piece.lines.find(({ role }) => role === 'knee');
    if (knee === undefined) return undefined;
    const end = endOf(knee.curves[knee.curves.length - 1]);
    const outwards = endDirection(knee.curves[knee.curves.length - 1]);
    const out = line(end, along(end, outwards, between(next, 30, 60)));
    return {
      piece: {
        ...piece,
        lines: piece.lines.map((each) => (each === knee ? { ...each, curves: [...each.curves, out] } : each)),
      },
      at: endOf(out),
      withinMm: 5,
    };
  }),
  pieceFault('balance line off', ['BALANCE_LINE_OFF'], ['back'], (piece, next) => {
    if (!piece.lines.some(({ role }) => role === 'knee')) return undefined;
    const by = { x: 0, y: signed(next, 3, 12) };
    const lines = piece.lines.map((each) =>
      each.role === 'knee' ? { ...each, curves: shifted(each.curves, by) } : each,
    );
    return { piece: { ...piece, lines } };
  }),
  pieceFault('leg cut twice the same way', ['PAIR_NOT_MIRRORED'], LEGS, (piece) => ({
    piece: { ...piece, quantity: { asDrawn: 2, mirrored: 0 } },
  })),
  pieceFault(
    'quantity of nothing',
    ['QUANTITY_MISSING'],
    ['front', 'back', 'waistband', 'fly-facing'],
    (piece) => ({ piece: { ...piece, quantity: { asDrawn: 0, mirrored: 0 } } }),
  ),
];
