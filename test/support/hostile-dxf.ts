/** Pairs of code and value as a DXF. */
function dxf(...rows: readonly (string | number)[]): string {
  return `${rows.join('\n')}\n`;
}

function inEntities(...rows: readonly (string | number)[]): string {
  return dxf(
    0,
    'SECTION',
    2,
    'ENTITIES',
    0,
    'TEXT',
    8,
    1,
    10,
    0,
    20,
    0,
    1,
    'Units:METRIC',
    ...rows,
    0,
    'ENDSEC',
    0,
    'EOF',
  );
}

function ring(
  layer: number,
  points: readonly (readonly [number | string, number | string])[],
  flags: number | string = 1,
): (string | number)[] {
  return [
    0,
    'POLYLINE',
    8,
    layer,
    66,
    1,
    70,
    flags,
    ...points.flatMap(([x, y]) => [0, 'VERTEX', 8, layer, 10, x, 20, y]),
    0,
    'SEQEND',
  ];
}

const SQUARE = [
  [0, 0],
  [500, 0],
  [500, 500],
  [0, 500],
] as const;

type Next = () => number;

function block(name: string, ...rows: readonly (string | number)[]): (string | number)[] {
  return [0, 'BLOCK', 8, 1, 2, name, 10, 0, 20, 0, ...rows, 0, 'ENDBLK'];
}

function withBlocks(...blocks: readonly (string | number)[][]): string {
  return dxf(
    0,
    'SECTION',
    2,
    'BLOCKS',
    ...blocks.flat(),
    0,
    'ENDSEC',
    0,
    'SECTION',
    2,
    'ENTITIES',
    0,
    'TEXT',
    8,
    1,
    10,
    0,
    20,
    0,
    1,
    'Units:METRIC',
    0,
    'INSERT',
    2,
    'A0',
    10,
    0,
    20,
    0,
    0,
    'ENDSEC',
    0,
    'EOF',
  );
}

const int = (next: Next, most: number): number => Math.floor(next() * most);
const one = <T>(next: Next, all: readonly T[]): T => all[int(next, all.length)];
const odd = (next: Next): string =>
  one(next, [
    'NaN',
    'Infinity',
    '-1e308',
    '1e308',
    '-0',
    '',
    'x',
    '9'.repeat(40),
    '0x10',
    '1e-400',
    '99999999',
  ]);

/** Ways to write a file that is meant to break its reader; each call another one of its kind. */
export const HOSTILE: readonly { readonly name: string; text(next: Next): string }[] = [
  {
    name: 'blocks that contain themselves',
    text: () => withBlocks(block('A0', ...ring(1, SQUARE), 0, 'INSERT', 2, 'A0', 10, 1, 20, 1)),
  },
  {
    name: 'blocks that contain two of the next, many deep',
    text: (next) => {
      const depth = 5 + int(next, 40);
      const insert = (i: number) => [0, 'INSERT', 2, `A${i + 1}`, 10, 1, 20, 1];
      return withBlocks(
        ...Array.from({ length: depth }, (_, i) =>
          block(`A${i}`, ...ring(1, SQUARE), ...Array.from({ length: 12 }, () => insert(i)).flat()),
        ),
      );
    },
  },
  {
    name: 'numbers that are none',
    text: (next) =>
      inEntities(
        ...ring(
          1,
          [...SQUARE, [odd(next), odd(next)], [odd(next), int(next, 500)]],
          one(next, [1, odd(next)]),
        ),
      ),
  },
  {
    name: 'arcs without sense',
    text: (next) =>
      inEntities(
        ...ring(1, SQUARE),
        0,
        'ARC',
        8,
        8,
        10,
        odd(next),
        20,
        5,
        40,
        odd(next),
        50,
        odd(next),
        51,
        odd(next),
        0,
        'CIRCLE',
        8,
        13,
        10,
        1,
        20,
        1,
        40,
        1e7,
        0,
        'ARC',
        8,
        1,
        10,
        0,
        20,
        0,
        40,
        9e6,
        50,
        0,
        51,
        360,
      ),
  },
  {
    name: 'splines without sense',
    text: (next) => {
      const count = int(next, 40);
      return inEntities(
        ...ring(1, SQUARE),
        0,
        'SPLINE',
        8,
        one(next, [1, 8, 14]),
        70,
        int(next, 16),
        71,
        one(next, [0, 1, 3, 99, odd(next)]),
        ...Array.from({ length: count }, () => [40, one(next, [0, 1, 1, next(), odd(next)])]).flat(),
        ...Array.from({ length: count }, () => [
          10,
          one(next, [next() * 1e6, odd(next)]),
          20,
          next() * 1e6,
        ]).flat(),
      );
    },
  },
  {
    name: 'bulges of any size',
    text: (next) =>
      inEntities(
        0,
        'LWPOLYLINE',
        8,
        1,
        90,
        999999999,
        70,
        1,
        ...SQUARE.flatMap(([x, y]) => [10, x, 20, y, 42, one(next, [0, 1e-8, 1e6, -1e6, 1, odd(next)])]),
      ),
  },
  {
    name: 'ten thousand ends in one place',
    text: (next) =>
      inEntities(
        ...Array.from({ length: 3000 }, () => [
          0,
          'LINE',
          8,
          one(next, [1, 14]),
          10,
          0,
          20,
          0,
          11,
          next() * 500,
          21,
          next() * 500,
        ]).flat(),
      ),
  },
  {
    name: 'a ring that crosses itself everywhere',
    text: (next) =>
      inEntities(
        ...ring(
          one(next, [1, 14]),
          Array.from({ length: 600 }, () => [next() * 500, next() * 500] as const),
        ),
        ...ring(1, SQUARE),
      ),
  },
  {
    name: 'a ring of one place',
    text: () =>
      inEntities(
        ...ring(
          1,
          Array.from({ length: 500 }, () => [5, 5] as const),
        ),
        ...ring(14, [
          [5, 5],
          [5, 5],
          [5, 5],
        ]),
      ),
  },
  {
    name: 'scales without sense',
    text: (next) =>
      withBlocks(
        block(
          'A0',
          ...ring(1, SQUARE),
          0,
          'INSERT',
          2,
          'B',
          10,
          0,
          20,
          0,
          41,
          one(next, [0, 1e-9, odd(next)]),
          42,
          odd(next),
          50,
          odd(next),
          70,
          1e9,
          71,
          1e9,
        ),
        block('B', ...ring(14, SQUARE)),
      ),
  },
  { name: 'a line without end', text: (next) => `0\nSECTION\n${'9'.repeat(5000 + int(next, 100_000))}\n` },
  {
    name: 'texts of any letters',
    text: (next) =>
      inEntities(
        ...ring(1, SQUARE),
        0,
        'TEXT',
        8,
        1,
        10,
        1,
        20,
        1,
        1,
        `Piece Name:${String.fromCharCode(...Array.from({ length: 60 }, () => 32 + int(next, 60_000)))}`,
        0,
        'MTEXT',
        8,
        15,
        10,
        1,
        20,
        1,
        1,
        '{'.repeat(2000) + '\\A'.repeat(900),
      ),
  },
  {
    name: 'names of built-in things',
    text: (next) =>
      withBlocks(
        block(
          'A0',
          ...ring(1, SQUARE),
          0,
          'TEXT',
          8,
          1,
          10,
          0,
          20,
          0,
          1,
          `Piece Name:${one(next, ['__proto__', 'constructor', 'toString', 'hasOwnProperty'])}`,
        ),
        block('__proto__', ...ring(1, SQUARE)),
        block('constructor', ...ring(1, SQUARE)),
      ),
  },
  {
    name: 'sections that never end',
    text: (next) =>
      dxf(
        ...Array.from({ length: 300 }, () => [
          0,
          one(next, ['SECTION', 'BLOCK', 'POLYLINE', 'VERTEX', 'SEQEND', 'ENDBLK', 'ENDSEC', 'INSERT']),
          2,
          one(next, ['BLOCKS', 'ENTITIES', 'A', 'HEADER']),
        ]).flat(),
      ),
  },
  {
    name: 'mirror lines anywhere',
    text: (next) =>
      inEntities(
        ...ring(1, SQUARE),
        0,
        'LINE',
        8,
        6,
        10,
        one(next, [0, 250, next() * 500]),
        20,
        0,
        11,
        one(next, [0, 250, next() * 500]),
        21,
        one(next, [0, 500]),
      ),
  },
  {
    name: 'other formats',
    text: (next) =>
      one(next, [
        'PK\u0003\u0004zip',
        'AutoCAD Binary DXF\r\n\u001a\u0000',
        'AC1032',
        '{"a":1}',
        '<svg/>',
        '',
        '\n\n\n',
        '%PDF-1.5',
        '0',
      ]),
  },
];

/** A sound file with lines or whole groups changed, lost, doubled or moved. */
export function mutated(text: string, next: Next): string {
  let rows = text.split(/\r?\n/);
  // Most faults of lines leave the rest of a file unread; those of groups leave it a DXF.
  const ofGroups = next() < 0.6;
  const times = 1 + int(next, 6);
  for (let i = 0; i < times; i++) {
    rows = ofGroups ? groupMutated(rows, next) : lineMutated(rows, next);
    if (rows.length === 0) rows = [''];
  }
  return rows.join(one(next, ['\r\n', '\n', '\r']));
}

function lineMutated(rows: readonly string[], next: Next): string[] {
  const at = int(next, rows.length);
  const span = 1 + int(next, one(next, [1, 4, 40, 800]));
  const changed = (value: string): string[] => [...rows.slice(0, at), value, ...rows.slice(at + 1)];
  switch (int(next, 7)) {
    case 0:
      return changed(odd(next));
    case 1:
      return [...rows.slice(0, at), ...rows.slice(at + span)];
    case 2:
      return [...rows.slice(0, at + span), ...rows.slice(at)];
    case 3:
      return changed(String(int(next, 1100)));
    case 4:
      return [...rows.slice(0, at), ...rows.slice(at, at + span).reverse(), ...rows.slice(at + span)];
    case 5:
      return changed(scrambled(rows[at], next));
    default:
      return rows.slice(0, at + span);
  }
}

/** Codes stand on even lines and values on odd ones, and do so afterwards. */
function groupMutated(rows: readonly string[], next: Next): string[] {
  const at = 2 * int(next, Math.floor(rows.length / 2));
  const span = 2 * (1 + int(next, one(next, [1, 1, 4, 40])));
  const [code, value] = [rows[at], rows[at + 1] ?? ''];
  const changed = (first: string, second: string): string[] => [
    ...rows.slice(0, at),
    first,
    second,
    ...rows.slice(at + 2),
  ];
  switch (int(next, 8)) {
    case 0:
      return changed(code, odd(next));
    case 1:
      return [...rows.slice(0, at), ...rows.slice(at + span)];
    case 2:
      return [...rows.slice(0, at + span), ...rows.slice(at)];
    case 3:
      return changed(one(next, ['0', '1', '8', '10', '20', '42', '66', '70', '999', code]), value);
    case 4: {
      // A number that is a little or a lot different.
      const number = Number(value);
      const by = one(next, [1e-6, 0.01, 0.5, 20, 500, 1e5]) * (next() - 0.5);
      return changed(code, Number.isFinite(number) ? String(number + by) : scrambled(value, next));
    }
    case 5:
      return changed(code, one(next, ['-', '']) + value.replace(/^-/, ''));
    case 6: {
      const from = 2 * int(next, Math.floor(rows.length / 2));
      const moved = rows.slice(from, from + span);
      const rest = [...rows.slice(0, from), ...rows.slice(from + span)];
      return [...rest.slice(0, at), ...moved, ...rest.slice(at)];
    }
    default:
      return changed(code, rows[2 * int(next, Math.floor(rows.length / 2)) + 1] ?? '');
  }
}

function scrambled(text: string, next: Next): string {
  return text
    .split('')
    .map((letter) => (next() < 0.3 ? String.fromCharCode(int(next, 256)) : letter))
    .join('');
}
