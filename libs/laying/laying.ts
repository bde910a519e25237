import { figuresOf, MarkerEngine, planMarker, type Marker } from '#marker';
import { laidOf, requestFor, type LaidMarker, type LaidOrder } from './laid-order.js';
import { startPlaces, type EarlierMarker } from './earlier-marker.js';
import type { LayingPlan, PlannedCloth } from './plan-laying.js';

export interface LayingOptions {
  /** Where the search starts. */
  readonly seed: number;
  /** 0, 1, ... for independent searches of one seed, e.g. one a thread; `bestLaid` puts them together. */
  readonly chain: number;
  /** Markers laid before that the search begins from, where their garments are laid together again. */
  readonly earlier?: readonly EarlierMarker[];
}

export interface LayingProgress {
  /** allotting: finding out which garments go on which roll. shortening: all markers are there and get shorter. */
  readonly stage: 'allotting' | 'shortening';
  /** Moves made in all: the unit of work. */
  readonly moves: number;
  /** Moves a piece that the least worked marker has had; 0 while allotting. What `layTo` counts. */
  readonly movesPerPiece: number;
  /** All markers together, end to end; of those found so far while allotting. */
  readonly lengthMm: number;
}

/**
 * Moves that one attempt to lay garments within a length may take: so many and so many a piece. Half a second for one
 * garment, two for ten; most attempts end sooner, because they fit or their lower bound says that they cannot.
 */
const ATTEMPT_MOVES = 8_000;
const ATTEMPT_MOVES_PER_PIECE = 250;
/** Later garments that are tried in the room the earlier ones leave on a roll. */
const FILL_TRIES_MAX = 4;
/** A marker this near to its lower bound cannot become worth more. */
const AT_BOUND = 1.0001;

/** A marker under way. */
interface Part {
  readonly cloth: number;
  readonly roll: number | undefined;
  readonly garments: readonly number[];
  readonly engine: MarkerEngine;
  readonly pieces: number;
  readonly lowerBound: number;
  moves: number;
  length: number;
}

/**
 * Lays all markers of an order, in steps of about 5 ms, for as long as the caller likes.
 *
 * First each cloth's garments are allotted to its rolls in the order given, as many whole ones as fit, and later ones into
 * what room is left; then all markers are shortened in turn, the least worked one first. There is no clock: same plan,
 * seed, chain and number of steps, the same markers, bit for bit. A caller with a clock stops asking.
 */
export class Laying {
  private readonly parts: Part[] = [];
  private left: LaidOrder['left'] = [];
  private moves = 0;
  private isAllotted = false;
  private readonly allotting: Generator<void, void>;

  constructor(
    private readonly plan: LayingPlan,
    private readonly options: LayingOptions,
  ) {
    this.allotting = this.allot(true);
  }

  /** One step: about 5 ms. */
  step(): LayingProgress {
    if (!this.isAllotted) this.isAllotted = this.allotting.next().done === true;
    else this.shorten();
    return this.progress();
  }

  /** Steps until every marker has had `movesPerPiece` moves for each of its pieces; returns at once when they have. */
  layTo(movesPerPiece: number): LaidOrder {
    while (this.progress().movesPerPiece < movesPerPiece) this.step();
    return this.best();
  }

  /**
   * The shortest markers so far, every one certified.
   *
   * While garments are still being allotted, those not yet on a roll lie by their boxes, as many as fit.
   */
  best(): LaidOrder {
    const whole = this.isAllotted ? this : this.asFarAsKnown();
    const markers = whole.parts.map(({ cloth, roll, garments, engine }): LaidMarker => {
      const marker: Marker = engine.best();
      return { cloth, roll, garments, marker };
    });
    return laidOf(
      this.plan,
      markers,
      whole.left,
      whole.parts.flatMap(({ engine }) => engine.refused),
    );
  }

  private progress(): LayingProgress {
    const lengthMm = this.parts.reduce((sum, { length }) => sum + length, 0);
    const movesPerPiece = this.isAllotted ? Math.min(Infinity, ...this.parts.map(workOf)) : 0;
    const stage = this.isAllotted ? 'shortening' : 'allotting';
    return { stage, moves: this.moves, movesPerPiece, lengthMm };
  }

  private asFarAsKnown(): Laying {
    const other = new Laying(this.plan, this.options);
    other.parts.push(...this.parts);
    const rest = other.allot(false);
    while (rest.next().done !== true);
    return other;
  }

  private shorten(): void {
    if (this.parts.length === 0) return;
    const part = this.parts.reduce((least, one) => (workOf(one) < workOf(least) ? one : least));
    this.advance(part);
  }

  private advance(part: Part): void {
    const { work, length } = part.engine.step();
    this.moves += work - part.moves;
    part.moves = work;
    part.length = length;
  }

  private *allot(isSearching: boolean): Generator<void, void> {
    const left: { cloth: number; garment: number }[] = [];
    for (const [c, planned] of this.plan.cloths.entries()) {
      const known = this.parts.filter(({ cloth }) => cloth === c);
      const laid = new Set(known.flatMap(({ garments }) => garments));
      let waiting = planned.garments.map((_, i) => i).filter((i) => !laid.has(i));
      for (const [roll, room] of roomsOf(planned, known)) {
        waiting = yield* this.fillRoll({ c, planned, roll, isSearching }, room, waiting);
      }
      left.push(...waiting.map((garment) => ({ cloth: c, garment })));
    }
    this.left = left;
  }

  /** Markers off one roll until the next does not fit; answers with the garments still waiting. */
  private *fillRoll(place: Place, roomMm: number, garments: readonly number[]): Generator<void, number[]> {
    const { cloth } = place.planned;
    let waiting = [...garments];
    let room = roomMm;
    while (waiting.length > 0) {
      const limit = Math.min(room - (cloth.endAllowanceMm ?? 0), cloth.markerLengthMaxMm ?? Infinity);
      const part = yield* this.mostThatFit(place, limit, waiting);
      if (part === undefined) break;
      this.parts.push(part);
      waiting = waiting.filter((i) => !part.garments.includes(i));
      room -= part.engine.best().figures.clothLength;
    }
    return waiting;
  }

  /** The longest run of garments from the first that fits, then later ones as room is left. */
  private *mostThatFit(
    place: Place,
    limit: number,
    waiting: readonly number[],
  ): Generator<void, Part | undefined> {
    let count = waiting.length;
    let part: Part | undefined;
    while (count > 0 && part === undefined) {
      const tried = yield* this.attempt(place, limit, waiting.slice(0, count));
      if (tried !== undefined && tried.length <= limit) part = tried;
      else if (tried === undefined) count--;
      // What was laid too long says how many may fit; rounded up, so that none is lost to a guess.
      else count = Math.min(count - 1, Math.ceil((count * limit) / tried.length));
    }
    if (part?.garments.length === waiting.length) return part;
    let tries = 0;
    for (const garment of waiting.slice(count)) {
      if (tries >= FILL_TRIES_MAX) break;
      const tried = yield* this.attempt(place, limit, [...(part?.garments ?? []), garment]);
      if (tried !== undefined) tries++;
      if (tried !== undefined && tried.length <= limit) part = tried;
    }
    return part;
  }

  /** Lay some garments until they fit or the work is spent; undefined where no marker of them can be short enough. */
  private *attempt(
    { c, planned, roll, isSearching }: Place,
    limit: number,
    garments: readonly number[],
  ): Generator<void, Part | undefined> {
    const request = requestFor(planned, garments, limit === Infinity ? undefined : limit);
    const { lowerBound } = figuresOf(request, 1);
    if (lowerBound > limit) return undefined;
    const answer = planMarker(request);
    if (!answer.ok) throw new Error(`PLAN_REFUSED ${answer.problems[0].code}`);
    const { seed, chain, earlier = [] } = this.options;
    const startFrom = startPlaces(planned, garments, earlier);
    const options = { seed, chain, ...(startFrom === undefined ? {} : { startFrom }) };
    const engine = new MarkerEngine(answer.plan, options);
    const pieces = answer.plan.task.pieces.length;
    const { length } = engine.best().figures;
    const part: Part = { cloth: c, roll, garments, engine, pieces, lowerBound, moves: 0, length };
    const movesMax = isSearching ? ATTEMPT_MOVES + ATTEMPT_MOVES_PER_PIECE * pieces : 0;
    while (part.length > limit && part.moves < movesMax) {
      this.advance(part);
      yield;
    }
    return part;
  }
}

interface Place {
  readonly c: number;
  readonly planned: PlannedCloth;
  readonly roll: number | undefined;
  /** False where only the layout by boxes is asked for. */
  readonly isSearching: boolean;
}

/** Moves a piece that a marker has had; without end where more would gain nothing. */
function workOf({ moves, pieces, length, lowerBound }: Part): number {
  return length <= lowerBound * AT_BOUND ? Infinity : moves / pieces;
}

/** The rolls of a cloth with the length that the markers known so far leave. */
function roomsOf({ cloth }: PlannedCloth, known: readonly Part[]): [number | undefined, number][] {
  if (cloth.rolls === undefined) return [[undefined, Infinity]];
  return cloth.rolls.map(({ lengthMm }, r): [number, number] => [
    r,
    known
      .filter(({ roll }) => roll === r)
      .reduce((rest, { engine }) => rest - engine.best().figures.clothLength, lengthMm),
  ]);
}
