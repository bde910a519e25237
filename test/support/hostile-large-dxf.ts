/** Files that are large rather than wrong: as much of one thing as a file may hold, where cost grows fastest. */

const rows = (text: string): string => `${text.trim().split(/\s+/).join('\n')}\n`;
const HEAD = rows('0 SECTION 2 ENTITIES 0 TEXT 8 1 10 0 20 0 1 Units:METRIC');
const TAIL = rows('0 ENDSEC 0 EOF');
const SQUARE = ring(1, [
  [0, 0],
  [900, 0],
  [900, 900],
  [0, 900],
]);

type At = readonly [x: number, y: number];

function times(count: number, each: (i: number) => string): string {
  return Array.from({ length: count }, (_, i) => each(i)).join('');
}

function ring(layer: number, points: readonly At[]): string {
  const corners = points.map(([x, y]) => `10\n${x.toFixed(3)}\n20\n${y.toFixed(3)}\n`).join('');
  return `0\nLWPOLYLINE\n8\n${layer}\n70\n1\n${corners}`;
}

/** A ring about the size of a leg, as smooth or as jagged as asked, which never crosses itself. */
function star(count: number, radiusMm: number, jagMm: number, [x, y]: At = [450, 450]): At[] {
  return Array.from({ length: count }, (_, i) => {
    const angle = (2 * Math.PI * i) / count;
    const radius = radiusMm + (i % 2) * jagMm;
    return [x + radius * Math.cos(angle), y + radius * Math.sin(angle)] as const;
  });
}

/** The outline of a leg with so many points a side: it has the corners that a front or a back is known by. */
function leg(count: number, outMm: number, jagMm: number): At[] {
  const corners = [
    [-outMm, -outMm],
    [-outMm, 1000 + outMm],
    [220 + outMm, 1000 + outMm],
    [300 + 2 * outMm, 760],
    [210 + outMm, -outMm],
  ] as const;
  return corners.flatMap(([x, y], side) => {
    const [nx, ny] = corners[(side + 1) % corners.length];
    return Array.from({ length: count }, (_, i): At => {
      const share = i / count;
      const bow = 8 * Math.sin(Math.PI * share) + (i % 2) * jagMm;
      return [x + (nx - x) * share + bow, y + (ny - y) * share];
    });
  });
}

function blocks(count: number, contents: (i: number) => string): string {
  const each = times(
    count,
    (i) =>
      `0\nBLOCK\n8\n1\n2\nP${i}\n10\n0\n20\n0\n0\nTEXT\n8\n1\n10\n9\n20\n9\n1\nPiece Name:P${i}\n${contents(i)}0\nENDBLK\n`,
  );
  return `0\nSECTION\n2\nBLOCKS\n${each}0\nENDSEC\n${HEAD}${TAIL}`;
}

const loose = (text: string): string => HEAD + text + TAIL;
const point = (layer: number, x: number, y: number): string =>
  `0\nPOINT\n8\n${layer}\n10\n${x.toFixed(3)}\n20\n${y.toFixed(3)}\n30\n3\n50\n90\n`;
const segment = (layer: number, a: At, b: At): string =>
  `0\nLINE\n8\n${layer}\n10\n${a[0]}\n20\n${a[1]}\n11\n${b[0]}\n21\n${b[1]}\n`;

/** Each a way to spend the reader's time and memory within what it accepts, or just past it. */
export const HOSTILE_LARGE: readonly { readonly name: string; text(): string }[] = [
  { name: 'millions of groups', text: () => loose('0\nX\n'.repeat(6_000_000)) },
  { name: 'one entity of millions of groups', text: () => loose(`0\nX\n${'1\n2\n'.repeat(6_000_000)}`) },
  { name: 'as many lines as are read', text: () => loose(times(300_000, (i) => segment(1, [i, 0], [i, 9]))) },
  {
    name: 'a chain of as many lines as are read',
    text: () =>
      loose(times(290_000, (i) => segment(1, [i / 9, (i % 7) / 9], [(i + 1) / 9, ((i + 1) % 7) / 9]))),
  },
  {
    name: 'a ring of half a million points',
    text: () => loose(ring(1, star(500_000, 400, 0.5)) + ring(14, star(90_000, 300, 0.5))),
  },
  {
    name: 'a polyline of a million vertices',
    text: () =>
      loose(
        `0\nPOLYLINE\n8\n1\n70\n1\n${times(1_000_000, (i) => `0\nVERTEX\n10\n${i % 977}\n20\n${i % 911}\n`)}`,
      ),
  },
  {
    name: 'texts without end',
    text: () => loose(SQUARE + times(380_000, (i) => `0\nTEXT\n8\n1\n10\n1\n20\n1\n1\nSize Name:${i}\n`)),
  },
  {
    name: 'points of every mark',
    text: () =>
      loose(SQUARE + times(390_000, (i) => point([2, 3, 4, 13, 80][i % 5], i % 900, (i * 7) % 900))),
  },
  { name: 'a thousand rings in one place', text: () => loose(times(1000, () => SQUARE)) },
  {
    name: 'twenty thousand rings',
    text: () => loose(times(20_000, (i) => ring(1, star(4, 3, 0, [(i % 200) * 9, Math.floor(i / 200) * 9])))),
  },
  {
    name: 'pieces of jagged rings, cut and sewn',
    text: () => blocks(59, () => ring(1, star(5000, 400, 1)) + ring(14, star(5000, 385, 1))),
  },
  {
    name: 'pieces of smooth rings, cut and sewn',
    text: () => blocks(59, () => ring(1, star(5000, 400, 0)) + ring(14, star(5000, 385, 0))),
  },
  {
    name: 'hatches of slanting sides',
    text: () =>
      blocks(40, () =>
        ring(
          1,
          Array.from({ length: 4900 }, (_, i): At =>
            i % 4 === 0 || i % 4 === 3 ? [i / 10, 0] : [i / 10 + 450, 900],
          ),
        ),
      ),
  },
  {
    name: 'notches on a seam without end',
    text: () =>
      blocks(
        1,
        () =>
          ring(1, star(5000, 400, 0)) +
          ring(14, star(5000, 385, 0)) +
          times(190_000, (i) => point(4, 450 + 385 * Math.cos(i), 450 + 385 * Math.sin(i))),
      ),
  },
  {
    name: 'pieces full of lines and marks',
    text: () =>
      blocks(
        20,
        (k) =>
          ring(1, star(5000, 400, 1)) +
          ring(14, star(4000, 385, 0)) +
          times(
            300,
            (i) =>
              point(4, 450 + 400 * Math.cos(i + k), 450 + 400 * Math.sin(i + k)) + point(13, 300 + i, 300),
          ) +
          times(60, (i) => ring(8, star(250, 100 + i, 0))),
      ),
  },
  {
    name: 'pieces with dense validation curves',
    text: () => blocks(24, () => ring(1, star(5000, 400, 0)) + ring(84, star(19_000, 400, 0.2))),
  },
  {
    name: 'hundreds of legs',
    text: () => blocks(390, () => ring(1, leg(140, 10, 0)) + ring(14, leg(140, 0, 0))),
  },
  {
    name: 'legs of jagged sides',
    text: () => blocks(40, () => ring(1, leg(900, 10, 0.4)) + ring(14, leg(900, 0, 0.4))),
  },
  {
    name: 'hundreds of lefts and rights',
    text: () =>
      blocks(
        390,
        (i) =>
          ring(1, star(1400, 400, 0)) +
          `0\nTEXT\n8\n1\n10\n1\n20\n1\n1\nPiece Name:FRONT ${i % 2 ? 'LEFT' : 'RIGHT'}\n`,
      ).replace(/Piece Name:P\d+/g, 'Note:1'),
  },
  {
    name: 'halves with dense lines',
    text: () =>
      blocks(
        60,
        () =>
          ring(1, [
            [0, 0],
            [0, 900],
            ...star(4000, 440, 0, [0, 450])
              .filter(([x]) => x > 1)
              .sort((a, b) => b[1] - a[1]),
          ]) +
          segment(6, [0, 0], [0, 900]) +
          ring(14, star(3000, 300, 0, [0, 450])),
      ),
  },
  {
    name: 'splines of as many controls as are read',
    text: () =>
      loose(
        times(40, (k) => {
          const count = 4900;
          const knots = times(count + 11, (i) => `40\n${i}\n`);
          const controls = times(
            count,
            (i) => `10\n${((i * 37 + k) % 100) * 900}\n20\n${(i % 2) * 90_000}\n`,
          );
          return `0\nSPLINE\n8\n1\n70\n0\n71\n10\n${knots}${controls}`;
        }),
      ),
  },
  {
    name: 'arcs of the largest radius',
    text: () => loose(times(150, (i) => `0\nCIRCLE\n8\n1\n10\n${i}\n20\n0\n40\n90000\n`)),
  },
  {
    name: 'blocks of blocks of large rings',
    text: () => {
      const inner = `0\nBLOCK\n8\n1\n2\nR\n10\n0\n20\n0\n${ring(1, star(20_000, 400, 0))}0\nENDBLK\n`;
      const outer = times(
        200,
        (i) =>
          `0\nBLOCK\n8\n1\n2\nQ${i}\n10\n0\n20\n0\n${times(90, (k) => `0\nINSERT\n2\nR\n10\n${k}\n20\n${i}\n`)}0\nENDBLK\n`,
      );
      return `0\nSECTION\n2\nBLOCKS\n${inner}${outer}0\nENDSEC\n${HEAD}${TAIL}`;
    },
  },
  { name: 'blanks without end', text: () => `0\nSECTION\n2\n${' '.repeat(33_000_000)}\n` },
  {
    name: 'brackets without end in texts',
    text: () => loose(SQUARE + times(7000, () => `0\nMTEXT\n8\n1\n10\n1\n20\n1\n1\n${'\\A'.repeat(2000)}\n`)),
  },
  {
    name: 'blanks without end in texts',
    text: () =>
      loose(
        SQUARE + times(7000, () => `0\nTEXT\n8\n1\n10\n1\n20\n1\n1\n${'a'.repeat(9) + ' '.repeat(4000)}:\n`),
      ),
  },
];
