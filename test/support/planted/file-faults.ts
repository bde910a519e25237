import type { CutPoint } from '#finishing';
import { along, lerp } from '#geometry';
import { dxfOf } from '../dxf-of.js';
import { kneeEdge, reworked } from './edge-places.js';
import { between, type FaultKind, LEGS, pick, pieceOf, type Planted, signed, type Sound } from './fault.js';
import { leftAndRight } from './left-and-right.js';

function textFault(
  name: string,
  codes: readonly string[],
  change: (text: string, next: () => number, sound: Sound) => Planted | string | undefined,
): FaultKind {
  return {
    name,
    codes,
    plant(sound, next) {
      const done = change(dxfOf(sound.pattern.pieces), next, sound);
      return typeof done === 'string' ? { text: done } : done;
    },
  };
}

/** The nth entity of a kind on a layer, by the row where it starts. */
function entityAt(
  rows: readonly string[],
  kind: string,
  layer: string,
  next: () => number,
): number | undefined {
  const all = rows.flatMap((row, i) =>
    row === kind && rows[i - 1] === '0' && rows[i + 2] === layer ? [i] : [],
  );
  return all.length === 0 ? undefined : pick(next, all);
}

function blockOfRow(rows: readonly string[], row: number): string {
  for (let i = row; i > 0; i--) if (rows[i] === 'BLOCK' && rows[i - 1] === '0') return rows[i + 4];
  return '';
}

export const FILE_FAULTS: readonly FaultKind[] = [
  textFault('millimetres called inches', ['UNITS_DOUBTED'], (text) =>
    text.replace('Units:METRIC', 'Units:ENGLISH'),
  ),
  textFault('inches called millimetres', ['UNITS_DOUBTED'], (_, __, { pattern }) =>
    dxfOf(pattern.pieces, 'english').replace('Units:ENGLISH', 'Units:METRIC'),
  ),
  textFault('no unit', ['UNITS_MISSING'], (text, next) =>
    text.replace('Units:METRIC', pick(next, ['Units:', 'Unity:METRIC', 'Units:FURLONG'])),
  ),
  textFault('no grain', ['GRAIN_MISSING'], (text, next) => {
    const rows = text.split('\r\n');
    const i = entityAt(rows, 'LINE', '7', next);
    if (i === undefined) return undefined;
    const piece = blockOfRow(rows, i);
    rows.splice(i - 1, 12);
    return { text: rows.join('\r\n'), piece };
  }),
  textFault('quantity without sides', ['QUANTITY_MISSING'], (text, next) =>
    text.replace('Quantity:1,1', pick(next, ['Quantity:2', 'Quantity:', 'Quantity:a pair', 'Quantity:1;1'])),
  ),
  textFault('no piece name', ['PIECE_NAME_MISSING'], (text) =>
    text.replace('Piece Name:Fly facing', 'Piece Name:'),
  ),
  textFault('piece there twice', ['PIECE_DOUBLED'], (text) => {
    const rows = text.split('\r\n');
    const start = rows.findIndex((row, i) => row === 'BLOCK' && rows[i + 4] === 'FRONT') - 1;
    const end = rows.findIndex((row, i) => i > start && row === 'ENDBLK') + 3;
    const copy = rows.slice(start, end).map((row) => (row === 'FRONT' ? 'FRONT-COPY' : row));
    return [...rows.slice(0, end), ...copy, ...rows.slice(end)].join('\r\n');
  }),
  textFault('no back', ['LEGS_MISSING'], (_, next, { pattern }) => {
    const gone = pick(next, LEGS);
    return dxfOf(pattern.pieces.filter(({ id }) => id !== gone));
  }),
  textFault('validation curve of another version', ['VALIDATION_CURVE_OFF'], (text, next) => {
    const rows = text.split('\r\n');
    const i = entityAt(rows, 'POLYLINE', '84', next);
    if (i === undefined) return undefined;
    const by = signed(next, 1, 6);
    for (let k = i; rows[k] !== 'SEQEND'; k++)
      if (rows[k] === 'VERTEX') rows[k + 4] = (Number(rows[k + 4]) + by).toFixed(2);
    return { text: rows.join('\r\n'), piece: blockOfRow(rows, i) };
  }),
  textFault('turn point off its line', ['POINT_OFF_LINE'], (text, next) => {
    const rows = text.split('\r\n');
    const i = entityAt(rows, 'POINT', '2', next);
    if (i === undefined) return undefined;
    const at = {
      x: Number(rows[i + 4]) + signed(next, 0.5, 4),
      y: Number(rows[i + 6]) + signed(next, 0.5, 4),
    };
    rows[i + 4] = at.x.toFixed(2);
    rows[i + 6] = at.y.toFixed(2);
    return { text: rows.join('\r\n'), piece: blockOfRow(rows, i), at, withinMm: 1 };
  }),
  textFault('a word for a number', ['DXF_NOT_A_NUMBER'], (text, next) => {
    const rows = text.split('\r\n');
    const i = entityAt(rows, 'VERTEX', '1', next);
    if (i === undefined) return undefined;
    rows[i + 4] = pick(next, ['NaN', 'abc', '', '1e400', '1,5', '-']);
    return rows.join('\r\n');
  }),
  textFault('file cut off', ['DXF_CUT_OFF'], (text, next) =>
    text.slice(0, Math.floor(text.length * between(next, 0.5, 0.98))),
  ),
  textFault('line lost', ['DXF_BROKEN_GROUP', 'DXF_CUT_OFF'], (text, next) => {
    const rows = text.split('\r\n');
    const i = entityAt(rows, 'TEXT', '15', next);
    if (i === undefined) return undefined;
    rows.splice(i + 4, 1);
    return rows.join('\r\n');
  }),
  textFault('polyline without its end', ['DXF_NOT_CLOSED'], (text, next) => {
    const rows = text.split('\r\n');
    const i = entityAt(rows, 'SEQEND', '8', next) ?? entityAt(rows, 'SEQEND', '14', next);
    if (i === undefined) return undefined;
    rows.splice(i - 1, 4);
    return rows.join('\r\n');
  }),
  textFault('insert of a block that is not there', ['DXF_NO_BLOCK'], (text) => {
    const rows = text.split('\r\n');
    const i = rows.lastIndexOf('INSERT');
    rows[i + 4] = 'GONE';
    return rows.join('\r\n');
  }),
  textFault('mirror line beside the fold', ['MIRROR_LINE_OFF'], (text, next) => {
    const rows = text.split('\r\n');
    const i = entityAt(rows, 'LINE', '7', next);
    if (i === undefined) return undefined;
    rows[i + 2] = '6';
    return rows.join('\r\n');
  }),
  textFault('piece without width', ['PIECE_SLIVER'], (_, next, { pattern }) => {
    const shield = pieceOf(pattern.pieces, 'fly-shield');
    if (shield === undefined) return undefined;
    const squeeze = between(next, 0.005, 0.02);
    const cut = shield.cut.map(({ at, kind }): CutPoint => ({ at: { x: at.x * squeeze, y: at.y }, kind }));
    return {
      text: dxfOf([
        ...pattern.pieces,
        {
          ...shield,
          id: 'strip',
          name: 'Strip',
          cut,
          runs: [],
          darts: [],
          lines: [],
          notches: [],
          drillHoles: [],
          grain: [lerp(cut[0].at, cut[2].at, 0.4), lerp(cut[0].at, cut[2].at, 0.6)],
        },
      ]),
      piece: 'STRIP',
    };
  }),
  {
    name: 'right is not left mirrored',
    codes: ['MIRRORED_PAIR_DIFFERS'],
    plant({ pattern }, next) {
      const front = pieceOf(pattern.pieces, 'front');
      const notch = front === undefined ? undefined : kneeEdge(front);
      if (front === undefined || notch === undefined) return undefined;
      const by = signed(next, 1.2, 5);
      const bumped = { ...front, cut: reworked(front.cut, notch.at, 40, (p) => along(p, notch.inwards, by)) };
      const [left, right] = leftAndRight(front, bumped);
      return {
        text: dxfOf([left, right, ...pattern.pieces.filter(({ id }) => id !== 'front')]),
        piece: 'FRONT-RIGHT',
        at: { x: -notch.at.x, y: notch.at.y },
        withinMm: 70,
      };
    },
  },
];
