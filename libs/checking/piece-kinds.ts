import {
  DEG,
  direction,
  distance,
  dot,
  norm,
  opposite,
  polygonArea,
  startOf,
  way,
  type Point,
} from '#geometry';
import type { ForeignPiece } from '#interchange';
import type { CheckedPieceRole, Found, PieceKind } from './check-report.js';
import { PRACTICE } from './check-report.js';
import type { CheckSettings } from './check-settings.js';
import { legOf, type Leg } from './leg-block.js';
import { readLeg, type LegReading } from './leg-frame.js';
import type { SeamOutline } from './seam-outline.js';

/** What a piece was taken for. */
export interface KindReading {
  readonly outline: SeamOutline;
  readonly kind: PieceKind;
  readonly basis: CheckedPieceRole['basis'];
  readonly confidence: number;
  readonly leg: Leg | undefined;
}

/** Words for pieces in the languages that names are met in; small pieces first, because their names also name the piece they go to. */
const WORDS: readonly (readonly [PieceKind, RegExp])[] = [
  ['pocket', /pocket|tasche|poche|bolsillo|tasca|welt|jetted/],
  ['fly', /fly|shield|zip|braguet|hosenschlitz|untertritt/],
  ['waistband', /waist ?band|bund(?!falt)|casing|ceinture|pretina|cintura|\bband\b|\bwb\b/],
  ['other', /facing|lining|loop|flap|yoke|patch|fusible|interfac|besatz|futter|belt|tab|label|gusset/],
  ['front', /front|vorder|devant|delanter|davanti|\bfrt?\b|\bvt\b/],
  ['back', /back|rear|hinter|\bdos\b|derri|trasero|espalda|dietro|\bbk\b|\bht\b/],
];

function kindByName({ name, block }: ForeignPiece): PieceKind | undefined {
  for (const text of [name, block]) {
    const words = text.toLowerCase().replace(/[_-]+/g, ' ');
    const found = WORDS.find(([, pattern]) => pattern.test(words));
    if (found !== undefined) return found[0];
  }
  return undefined;
}

/** Under this a reading by shape is asked about, not used. */
const SURE = 0.35;

/**
 * What each piece is: as the request says, else as its name says, else, for legs, as its outline shows.
 *
 * Shape   a piece that is a front or a back has its leg; where its outline cannot be read as one, a finding says so.
 */
export function readKinds(
  outlines: readonly SeamOutline[],
  settings: CheckSettings,
): { readonly kinds: KindReading[]; readonly found: Found[] } {
  const found: Found[] = [];
  const first = outlines.map((outline): Omit<KindReading, 'leg'> & { reading: LegReading | undefined } => {
    const { piece } = outline;
    // A file may call its pieces anything, "constructor" too.
    const said = [piece.block, piece.name]
      .filter((each) => Object.hasOwn(settings.kinds, each))
      .map((each) => settings.kinds[each])[0];
    const named = kindByName(piece);
    const isCandidate =
      said === undefined
        ? named === undefined || named === 'front' || named === 'back'
        : said === 'front' || said === 'back';
    const reading = isCandidate ? readLeg(outline, uprightOf(piece)) : undefined;
    if (said !== undefined) return { outline, kind: said, basis: 'request', confidence: 1, reading };
    if (named !== undefined) return { outline, kind: named, basis: 'name', confidence: 0.95, reading };
    return {
      outline,
      kind: 'other',
      basis: reading === undefined ? 'none' : 'shape',
      confidence: 0,
      reading,
    };
  });
  const byShape = first.filter(({ basis, reading }) => basis === 'shape' && reading !== undefined);
  const shaped = namesByShape(first, byShape, found);
  const kinds = shaped.map(({ reading, ...rest }): KindReading => {
    const isLeg = rest.kind === 'front' || rest.kind === 'back';
    if (!isLeg || rest.outline.isSeamOpen) return { ...rest, leg: undefined };
    if (reading === undefined) found.push(notALeg(rest.outline.piece, rest.kind));
    else if (reading.confidence < SURE && rest.basis !== 'request' && !liesLikePartner(reading, rest, shaped))
      found.push(whichWayUp(rest.outline.piece, reading.confidence));
    const role = rest.kind === 'front' ? 'front' : 'back';
    return { ...rest, leg: reading === undefined ? undefined : legOf(reading, role) };
  });
  return { kinds, found: [...found, ...legsDoubted(shaped)] };
}

/** Pieces that the request names and the file has not. */
export function unknownKinds(pieces: readonly ForeignPiece[], { kinds }: CheckSettings): Found[] {
  const known = new Set(pieces.flatMap(({ block, name }) => [block, name]));
  const unknown = Object.keys(kinds).filter((name) => !known.has(name));
  if (unknown.length === 0) return [];
  const blocks = [...new Set(pieces.map(({ block }) => block))];
  const listed = blocks.slice(0, NAMED_MAX).join(', ');
  return [
    {
      code: 'KIND_UNKNOWN_PIECE',
      level: 'warning',
      message: `"kinds" in the settings names ${unknown
        .slice(0, NAMED_MAX)
        .map((name) => `"${name}"`)
        .join(', ')}; the file has no such piece.`,
      action: `Name a piece by its block or its name. The file has ${listed}${blocks.length > NAMED_MAX ? ` and ${blocks.length - NAMED_MAX} more` : ''}.`,
      place: {},
      numbers: { unknown: unknown.length },
      basis: 'as the request says',
    },
  ];
}

const NAMED_MAX = 20;

/** Pieces of one trouser lie the same way up, within this: on cloth with a nap they could not be cut otherwise. */
const SAME_WAY_COS = Math.cos(20 * DEG);

/**
 * Whether the other leg, which way up that one lies is plain, lies the same way.
 *
 * With the crotch dropped half way down, a front is nearly as wide at the hem as at the waist and its fork is in the
 * middle: by its own outline it could stand on its head.
 */
function liesLikePartner(
  { frame }: LegReading,
  { kind }: Pick<Shaped, 'kind'>,
  all: readonly Shaped[],
): boolean {
  const partners = all.filter((each) => each.kind === (kind === 'front' ? 'back' : 'front'));
  return (
    partners.length > 0 &&
    partners.every(
      ({ reading }) =>
        reading !== undefined &&
        reading.confidence >= SURE &&
        Math.cos(reading.frame.angleRad - frame.angleRad) > SAME_WAY_COS,
    )
  );
}

/** A crease is drawn over most of a leg, nearly along its grain; it says better than the grain arrow what is upright, and alone. */
const CREASE_SHARE = 0.5;
const CREASE_COS = Math.cos(20 * DEG);

function uprightOf({ grain, internalLines, boundary }: ForeignPiece): Point | undefined {
  const arrow = grain === undefined || distance(...grain) < 1 ? undefined : direction(...grain);
  const longMm =
    CREASE_SHARE *
    (boundary?.points ?? []).reduce((most, p, _, all) => Math.max(most, distance(p, all[0])), 0);
  const crease = internalLines
    .map(({ points }) => way(points[0], points[points.length - 1]))
    .find(
      (along) =>
        norm(along) > longMm &&
        (arrow === undefined || Math.abs(dot(along, arrow)) > CREASE_COS * norm(along)),
    );
  if (crease === undefined || arrow === undefined) return crease ?? arrow;
  return dot(crease, arrow) < 0 ? opposite(crease) : crease;
}

type Shaped = Omit<KindReading, 'leg'> & { readonly reading: LegReading | undefined };

/** Of two legs whose names say nothing, the back is the one that reaches out further at the fork and stands higher at the centre. */
function namesByShape(all: readonly Shaped[], byShape: readonly Shaped[], found: Found[]): Shaped[] {
  if (byShape.length === 0) return [...all];
  const named = all.filter(({ kind, basis }) => basis !== 'shape' && (kind === 'front' || kind === 'back'));
  const [a, b] = byShape;
  if (byShape.length === 1 && named.length === 1) {
    const other = named[0].kind === 'front' ? 'back' : 'front';
    return all.map((each) => (each === a ? { ...each, kind: other, confidence: 0.7 } : each));
  }
  if (byShape.length !== 2 || named.length > 0 || a.reading === undefined || b.reading === undefined) {
    found.push(
      ...byShape.map(({ outline }) => askKind(outline.piece, 'it could be a leg, and so could others')),
    );
    return [...all];
  }
  const margin = backness(a.reading) - backness(b.reading);
  const confidence = Math.min(1, Math.abs(margin));
  if (confidence < SURE) {
    found.push(...byShape.map(({ outline }) => askKind(outline.piece, 'front and back look alike')));
    return [...all];
  }
  const back = margin > 0 ? a : b;
  return all.map((each) =>
    byShape.includes(each) ? { ...each, kind: each === back ? 'back' : 'front', confidence } : each,
  );
}

/** How much a leg looks like a back: fork reach and centre height in units of what usually sets a back apart from a front. */
function backness({ curves, corners }: LegReading): number {
  const [fork, hem, centre, side] = [
    corners.fork,
    corners.hemInseam,
    corners.centreWaist,
    corners.sideWaist,
  ].map((i) => startOf(curves[i]));
  return (fork.x - hem.x) / 60 + (centre.y - side.y) / 30;
}

/**
 * How much wider than the other the leg called the front has to be at the fork. Of 2,698 trousers for the bodies of a survey,
 * three in four with the crotch dropped, a front is the wider by 15 mm at most.
 */
const WIDER_MM = 20;

/** How far the fork reaches out from the upper end of the centre seam. */
function forkWidthMm({ curves, corners }: LegReading): number {
  return startOf(curves[corners.fork]).x - startOf(curves[corners.centreWaist]).x;
}

/**
 * That front and back look exchanged: by both marks of a back, so that a pattern whose legs are nearly alike, as with the
 * crotch dropped and the inseam copied, is taken at its word. Sewn together they fit each other as well as before, so nothing else would say it.
 *
 * Who said it in the request has looked: that is warned of. A name alone stops, until the request says what is what.
 */
function legsDoubted(all: readonly Shaped[]): Found[] {
  const [fronts, backs] = (['front', 'back'] as const).map((role) => all.filter(({ kind }) => kind === role));
  const [front, back] = [fronts[0], backs[0]];
  if (fronts.length !== 1 || backs.length !== 1) return [];
  if (front.reading === undefined || back.reading === undefined) return [];
  if (front.basis === 'shape' || back.basis === 'shape') return [];
  const margin = backness(front.reading) - backness(back.reading);
  const widerMm = forkWidthMm(front.reading) - forkWidthMm(back.reading);
  if (margin < SURE || widerMm < WIDER_MM) return [];
  const isSaid = front.basis === 'request' || back.basis === 'request';
  const [f, b] = [front.outline.piece, back.outline.piece];
  const swapped = `"kinds": [{ "piece": "${f.block}", "kind": "back" }, { "piece": "${b.block}", "kind": "front" }]`;
  return [
    {
      code: 'ROLE_DOUBTED',
      level: isSaid ? 'warning' : 'stop',
      message: `${f.block} is the front and ${b.block} the back by ${isSaid ? 'the settings' : 'their names'} (${f.name}, ${b.name}); by their shapes it is the other way round: ${f.block} reaches out further at the fork and stands higher at the centre.`,
      action: isSaid
        ? `If the settings have them exchanged, say ${swapped}.`
        : `Correct the names, or say in the settings which is which: ${swapped}, or the other way round.`,
      place: {
        piece: f.block,
        ...(f.boundary === undefined ? {} : { at: f.boundary.points[0] }),
        line: f.line,
      },
      numbers: { confidence: Math.min(1, margin), widerMm },
      basis: PRACTICE,
    },
  ];
}

/** As settings say it. */
function kindsOf({ block }: ForeignPiece): string {
  return `"kinds": [{ "piece": "${block}", "kind": "front" }], or "back"`;
}

function askKind(piece: ForeignPiece, why: string): Found {
  return {
    code: 'ROLE_ASKED',
    level: 'stop',
    message: `It is not clear what ${piece.name} is: ${why}.`,
    action: `Say it in the settings: ${kindsOf(piece)}.`,
    place: {
      piece: piece.block,
      ...(piece.boundary === undefined ? {} : { at: piece.boundary.points[0] }),
      line: piece.line,
    },
    basis: PRACTICE,
  };
}

function whichWayUp(piece: ForeignPiece, confidence: number): Found {
  return {
    code: 'ROLE_ASKED',
    level: 'stop',
    message: `It is not clear which way up ${piece.name} lies.`,
    action: `Draw its grain line, or say what it is in the settings: ${kindsOf(piece)}.`,
    place: { piece: piece.block, line: piece.line },
    numbers: { confidence },
    basis: PRACTICE,
  };
}

function notALeg(piece: ForeignPiece, kind: PieceKind): Found {
  return {
    code: 'LEG_NOT_READ',
    level: 'stop',
    message: `${piece.name} should be a ${kind}, but its outline has not the five corners of a leg: centre waist, fork, two at the hem, side waist.`,
    action:
      'Mark its corners as turn points (layer 2), or say under "kinds" in the settings what the piece is.',
    place: {
      piece: piece.block,
      ...(piece.boundary === undefined ? {} : { at: piece.boundary.points[0] }),
      line: piece.line,
    },
    numbers: { areaMm2: Math.abs(polygonArea(piece.boundary?.points ?? [])) },
    basis: PRACTICE,
  };
}
