import { startOf, type Point } from '#geometry';
import { inMm, type Moved, type PieceRole } from '#pattern';
import type { Fix, TruingRules } from '#truing';
import type { Leg } from './leg-block.js';
import { toFile } from './leg-frame.js';
import { walked, type SignPair } from './leg-notches.js';
import { easeFix } from './ease-fix.js';
import { END_MM, NO_MOVES, type Bow, type EndMove, type LegMoves } from './leg-moves.js';
import { bendable, type Bendable } from './seam-bows.js';
import { SeamRun, type LongSeam } from './seam-run.js';
import { shareThatFits, waistChangeMm, type WaistFit } from './waist-fit.js';

/** How two long seams that differ are made to sew together, and what that moves. */
export interface SeamPlan {
  readonly seam: LongSeam;
  /** In the order in which the trade prefers them; the last may be ease. */
  readonly steps: readonly Fix[];
  readonly moves: Readonly<Record<PieceRole, LegMoves>>;
  readonly moved: readonly Moved[];
  /** Where ease is given: between which marks. */
  readonly easeBetween: string | undefined;
  /** The middle of it on the back, in the frame of the file. */
  readonly easeAt: Point;
}

/** Of a tolerance, this much is used: what is measured again on the written file differs by hundredths. */
const USED = 0.9;
/** Where all else is used up, a seam may be redrawn further than is done unasked: it is said, and looked at. */
const FURTHER = 2;
/** Length that redrawing may give or take in all. */
const FULLNESS_LENGTH_MM = 3;
/** Over this length, or four times what it moves, the points beside a moved end follow it. */
const FOLLOW_MM = 40;
const FOLLOW_RATIO = 4;
/** Points that slide on their seam must not pass each other. */
const SLIDE_RATIO = 1.5;

type Legs = Readonly<Record<PieceRole, Leg>>;

interface Part {
  readonly front: readonly [number, number];
  readonly back: readonly [number, number];
  /** Back minus front. */
  readonly offMm: number;
}

interface Bend {
  readonly role: PieceRole;
  readonly bend: Bendable;
}

/**
 * A way to make two long seams sew together of which neither fork, crease nor a notch knows anything.
 *
 * The machinist matches notches, so each stretch between two of them has to be right by itself. What lies beside a free
 * end (waist, hem) is taken off and given there, half on either piece; what lies between fixed marks is taken by fullness
 * of both pieces, then by ease. The first of these that is enough is taken alone; for more they are put together, each as
 * far as it may go, and the tolerances of seam and notch are used last.
 *
 * Shape   undefined where even all of that is not enough: then a person has to say which piece is right.
 * Source  order and limits common practice, no source; halving and the use of tolerances our choices.
 */
export function planSeam(
  legs: Legs,
  seam: LongSeam,
  pairs: readonly SignPair[],
  rules: TruingRules,
  waist?: WaistFit,
): SeamPlan | undefined {
  return new Planner(legs, seam, pairs, rules, waist).plan();
}

/** Where along the back a long seam is most off, in the frame of the file: the end of it next to no mark, else between two. */
export function worstPlace(
  legs: Legs,
  seam: LongSeam,
  pairs: readonly SignPair[],
  rules: TruingRules,
): Point {
  return new Planner(legs, seam, pairs, rules, undefined).worstPlace();
}

class Planner {
  private readonly runs: Readonly<Record<PieceRole, SeamRun>>;
  private readonly parts: readonly Part[];
  private readonly steps: Fix[] = [];
  private readonly moved: Moved[] = [];
  private readonly moves: Record<PieceRole, LegMoves> = { front: NO_MOVES, back: NO_MOVES };
  private readonly bent = new Map<Part, readonly Bend[]>();
  /** What is still to be taken: back minus front. */
  private restMm: number;

  constructor(
    private readonly legs: Legs,
    private readonly seam: LongSeam,
    pairs: readonly SignPair[],
    private readonly rules: TruingRules,
    private readonly waist: WaistFit | undefined,
  ) {
    this.runs = { front: SeamRun.of(legs.front, seam), back: SeamRun.of(legs.back, seam) };
    const { front, back } = this.runs;
    const marks = pairs.filter(
      (pair) =>
        pair.seam === seam &&
        Math.min(pair.frontMm, pair.backMm) > END_MM &&
        (seam === 'inseam' || Math.min(front.lengthMm - pair.frontMm, back.lengthMm - pair.backMm) > END_MM),
    );
    const stops = [{ frontMm: 0, backMm: 0 }, ...marks, { frontMm: front.lengthMm, backMm: back.lengthMm }];
    this.parts = stops.slice(1).map((to, i) => ({
      front: [stops[i].frontMm, to.frontMm],
      back: [stops[i].backMm, to.backMm],
      offMm: to.backMm - to.frontMm - (stops[i].backMm - stops[i].frontMm),
    }));
    this.restMm = back.lengthMm - front.lengthMm;
  }

  /** What the seam is off by, beyond the stretch that is meant. */
  private excessMm(): number {
    const meantMm = this.seam === 'inseam' && this.restMm < 0 ? this.rules.intendedStretchMm : 0;
    return Math.max(0, Math.abs(this.restMm) - meantMm);
  }

  plan(): SeamPlan | undefined {
    const { seam, rules } = this;
    const isSingle = this.parts.length === 1;
    if (seam === 'outseam')
      this.takeAtEnd('waist', isSingle ? this.restMm : this.parts[this.parts.length - 1].offMm);
    if (seam === 'inseam' || !isSingle) this.takeAtEnd('hem', isSingle ? this.restMm : this.parts[0].offMm);
    const toleranceMm = USED * rules.seamPairMm;
    if (this.excessMm() <= toleranceMm) return this.done(undefined, this.worstFixedPart());
    const easeMm = rules.cloth === 'repeat' ? 0 : rules.fixes.easeMm;
    const part = this.worstFixedPart();
    const between = this.betweenWords(part);
    if (this.bend(part, this.excessMm(), rules.fixes.fullnessMm)) return this.done(undefined, part);
    if (Math.abs(this.restMm) <= easeMm) return this.done(between, part);
    const missing = (): number => Math.abs(this.restMm) - easeMm;
    // A part of what is needed: notches and seam may be off by their tolerances, which is said.
    const gentleMm = this.gains(part, rules.fixes.fullnessMm);
    if (missing() - gentleMm > toleranceMm) this.takeByNotchTolerance();
    const wantedMm = Math.min(missing(), Math.max(gentleMm, missing() - toleranceMm));
    const limitMm = wantedMm > gentleMm ? FURTHER * rules.fixes.fullnessMm : rules.fixes.fullnessMm;
    if (wantedMm <= FULLNESS_LENGTH_MM) this.bend(part, wantedMm, limitMm);
    return missing() <= toleranceMm + 1e-6 ? this.done(between, part) : undefined;
  }

  private done(easeBetween: string | undefined, { back }: Part): SeamPlan {
    const { seam, steps, moved, moves } = this;
    const ease =
      easeBetween === undefined || Math.abs(this.restMm) < 1e-9
        ? []
        : [easeFix(seam, this.restMm, easeBetween, this.rules).fix];
    const easeAt = toFile(this.legs.back.reading.frame, this.runs.back.pointAt((back[0] + back[1]) / 2));
    return { seam, steps: [...steps, ...ease], moved, moves, easeBetween, easeAt };
  }

  worstPlace(): Point {
    const { parts, runs, legs } = this;
    const worst = parts.reduce((most, part) =>
      part.offMm * this.restMm > most.offMm * this.restMm ? part : most,
    );
    const [fromMm, toMm] = worst.back;
    const isTop = worst === parts[parts.length - 1];
    const mm = isTop ? toMm : worst === parts[0] ? 0 : (fromMm + toMm) / 2;
    return toFile(legs.back.reading.frame, runs.back.pointAt(mm));
  }

  /** The stretch between two fixed marks that is most off the way the seam is. */
  private worstFixedPart(): Part {
    const { parts, seam } = this;
    const between = parts.length === 1 ? parts : seam === 'inseam' ? parts.slice(1) : parts.slice(1, -1);
    const fixed = between.length === 0 ? parts : between;
    return fixed.reduce((worst, part) =>
      part.offMm * this.restMm > worst.offMm * this.restMm ? part : worst,
    );
  }

  private betweenWords({ front }: Part): string {
    const run = this.runs.front;
    const top = this.seam === 'inseam' ? 'the fork' : 'the waist';
    const word = (mm: number): string =>
      mm <= END_MM
        ? 'the hem'
        : mm >= run.lengthMm - END_MM
          ? top
          : `the mark at ${mm.toFixed(0)} mm from the hem`;
    return `${word(front[0])} and ${word(front[1])}`;
  }

  // --- free ends

  private takeAtEnd(end: 'hem' | 'waist', offMm: number): void {
    // Against the way of the seam only what is off by more than a notch may be.
    if (Math.abs(offMm) < OFF_MM || (offMm * this.restMm < 0 && Math.abs(offMm) <= this.rules.notchMm))
      return;
    const limitMm = end === 'hem' ? this.rules.fixes.hemEndMm : this.rules.fixes.waistEndMm;
    const sign = Math.sign(offMm);
    const rooms = {
      front: Math.min(limitMm, this.roomMm('front', end)),
      back: Math.min(limitMm, this.roomMm('back', end)),
    };
    const wholeMm = Math.min(Math.abs(offMm), rooms.front + rooms.back);
    const range = [Math.max(0, wholeMm - rooms.back), Math.min(wholeMm, rooms.front)] as const;
    const { frontMm: shareMm, offMm: waistOffMm } =
      end === 'hem'
        ? { frontMm: this.frontShareAtHem(sign, wholeMm, range), offMm: undefined }
        : this.frontShareAtWaist(sign, wholeMm, range);
    // A share that nobody can cut is left to the other piece.
    const frontMm = shareMm < range[0] + OFF_MM ? range[0] : shareMm > range[1] - OFF_MM ? range[1] : shareMm;
    this.moveEnd('front', end, sign * frontMm);
    this.moveEnd('back', end, -sign * (wholeMm - frontMm));
    this.sayOfWaist(waistOffMm);
    this.restMm -= sign * wholeMm;
  }

  /** What keeps the sewn hem running straight on through the seam: half, unless one hem hangs already. */
  private frontShareAtHem(sign: number, wholeMm: number, [low, high]: readonly [number, number]): number {
    const tiltMm = this.tiltMm('front') + this.tiltMm('back');
    return Math.min(high, Math.max(low, (wholeMm + sign * tiltMm) / 2));
  }

  private frontShareAtWaist(
    sign: number,
    wholeMm: number,
    range: readonly [number, number],
  ): ReturnType<typeof shareThatFits> {
    const changeMm = (role: PieceRole, longerMm: number): number =>
      waistChangeMm(this.legs[role], this.endMove(role, 'waist', longerMm));
    return shareThatFits(
      wholeMm,
      range,
      this.waist,
      (frontMm) => changeMm('front', sign * frontMm) + changeMm('back', -sign * (wholeMm - frontMm)),
    );
  }

  /** No share may leave a waist that fits its band: then whoever asks for the correction has to know it before. */
  private sayOfWaist(offMm: number | undefined): void {
    const { waist } = this;
    const last = this.steps.at(-1);
    if (offMm === undefined || waist === undefined || last === undefined) return;
    if (offMm >= waist.minMm && offMm <= waist.maxMm) return;
    const words = `${last.words} The waist seam is then ${inMm(Math.abs(offMm))} ${offMm < 0 ? 'shorter' : 'longer'} than the band: cut the band to it.`;
    this.steps.splice(-1, 1, { ...last, words });
  }

  /** What notches may be off is used at the hem: they are then off by less than their tolerance. */
  private takeByNotchTolerance(): void {
    const [hem] = this.parts;
    if (this.parts.length < 2 || Math.abs(hem.offMm) > this.rules.notchMm) return;
    const sign = Math.sign(this.restMm);
    const isTaken = hem.offMm * sign > 0;
    const leftMm = USED * this.rules.notchMm - (isTaken ? 0 : Math.abs(hem.offMm));
    const { hemEndMm } = this.rules.fixes;
    if (leftMm <= 0 || Math.min(this.roomMm('front', 'hem'), this.roomMm('back', 'hem'), hemEndMm) < leftMm)
      return;
    this.moveEnd('front', 'hem', (sign * leftMm) / 2);
    this.moveEnd('back', 'hem', (-sign * leftMm) / 2);
    this.restMm -= sign * leftMm;
  }

  /** How far an end can go along its seam before it meets a notch, or the seam's other end. */
  private roomMm(role: PieceRole, end: 'hem' | 'waist'): number {
    return (this.freeMm(role, end) - END_MM) / SLIDE_RATIO;
  }

  private freeMm(role: PieceRole, end: 'hem' | 'waist'): number {
    const { lengthMm } = this.runs[role];
    const fromEnd = walked(this.legs[role], this.seam)
      .map(({ fromHemMm }) => (end === 'hem' ? fromHemMm : lengthMm - fromHemMm))
      .filter((mm) => mm > END_MM);
    return Math.min(lengthMm / 2, ...fromEnd);
  }

  /** How much higher this end of the hem stands than the other. */
  private tiltMm(role: PieceRole): number {
    const { curves, corners } = this.legs[role].reading;
    const inseam = startOf(curves[corners.hemInseam]).y;
    const outseam = startOf(curves[corners.hemOutseam]).y;
    return this.seam === 'inseam' ? inseam - outseam : outseam - inseam;
  }

  private moveEnd(role: PieceRole, end: 'hem' | 'waist', longerMm: number): void {
    if (Math.abs(longerMm) < MOVED_MM) return;
    const run = this.runs[role];
    const { frame } = this.legs[role].reading;
    const before = this.moves[role].ends.find((each) => each.seam === this.seam && each.end === end);
    const wholeMm = longerMm + (before?.longerMm ?? 0);
    const move = this.endMove(role, end, wholeMm);
    const { ends, bows } = this.moves[role];
    this.moves[role] = { ends: [...ends.filter((each) => each !== before), move], bows };
    const [fromMm, toMm] = end === 'hem' ? [0, -wholeMm] : [run.lengthMm, run.lengthMm + wholeMm];
    const part = end === 'waist' ? 'side waist' : `hem at the ${this.seam}`;
    const isLonger = wholeMm > 0;
    const goes = end === 'hem' ? (isLonger ? 'down' : 'up') : isLonger ? 'up' : 'down';
    const byMm = Math.abs(wholeMm);
    this.replaceStep(
      {
        kind: end === 'hem' ? 'move-hem-end' : 'move-waist-end',
        piece: role,
        part,
        byMm,
        words: `Move the ${part === 'side waist' ? `${role} side waist` : `${this.seam} end of the ${role} hem`} ${inMm(byMm)} ${goes} along the ${this.seam}${end === 'hem' ? '; the hem follows, less and less up to its other end' : ''}.`,
      },
      {
        operation: 'move point along',
        piece: role,
        part,
        byMm,
        from: toFile(frame, run.pointAt(fromMm)),
        to: toFile(frame, run.pointAt(toMm)),
      },
    );
  }

  private endMove(role: PieceRole, end: 'hem' | 'waist', longerMm: number): EndMove {
    const followMm = Math.max(FOLLOW_MM, FOLLOW_RATIO * Math.abs(longerMm));
    return { seam: this.seam, end, longerMm, overMm: Math.min(this.freeMm(role, end), followMm) };
  }

  private replaceStep(fix: Fix, moved: Moved): void {
    const same = this.steps.findIndex(
      ({ kind, piece, part }) => kind === fix.kind && piece === fix.piece && part === fix.part,
    );
    if (same >= 0) {
      this.steps.splice(same, 1);
      this.moved.splice(same, 1);
    }
    this.steps.push(fix);
    this.moved.push(moved);
  }

  // --- fullness

  /** What is to be taken never changes its sign, so that a part is bent one way only. */
  private bends(part: Part): readonly Bend[] {
    const known = this.bent.get(part);
    if (known !== undefined) return known;
    const bends = (['front', 'back'] as const).flatMap((role) => {
      const isLonger = (role === 'back') !== this.restMm > 0;
      const bend = bendable(this.legs[role], this.seam, part[role], isLonger ? 1 : -1);
      return bend === undefined ? [] : [{ role, bend }];
    });
    this.bent.set(part, bends);
    return bends;
  }

  private gains(part: Part, limitMm: number): number {
    return this.bends(part).reduce((sum, { bend }) => sum + bend.gain(limitMm).gainMm, 0);
  }

  /** Both pieces redrawn until they give what is wanted, none further than the other unless it can go no further. */
  private bend(part: Part, wantedMm: number, limitMm: number): boolean {
    const bends = this.bends(part);
    const gained = (byMm: number): number => bends.reduce((sum, { bend }) => sum + bend.gain(byMm).gainMm, 0);
    if (wantedMm <= 0 || gained(limitMm) < wantedMm) return false;
    let [low, high] = [0, limitMm];
    for (let step = 0; step < BISECTIONS; step++) {
      const middle = (low + high) / 2;
      if (gained(middle) < wantedMm) low = middle;
      else high = middle;
    }
    const between = this.betweenWords(part);
    for (const { role, bend } of bends) {
      const { byMm, gainMm } = bend.gain(high);
      if (byMm < MOVED_MM) continue;
      const { fromMm, toMm, side } = bend;
      const bow: Bow = { seam: this.seam, fromMm, toMm, byMm: side * byMm };
      this.moves[role] = { ...this.moves[role], bows: [...this.moves[role].bows, bow] };
      const isLonger = (role === 'back') !== this.restMm > 0;
      const beforeMm = this.runs[role].lengthMm;
      // The way up has the inseam's inside on its left, and the outseam's on its right.
      const isIn = (this.seam === 'inseam') === side > 0;
      this.steps.push({
        kind: 'change-fullness',
        piece: role,
        part: this.seam,
        byMm,
        words: `Redraw the ${role} ${this.seam} between ${between} ${inMm(byMm)} further ${isIn ? 'in' : 'out'} at its middle: ${inMm(gainMm)} ${isLonger ? 'longer' : 'shorter'}.`,
      });
      this.moved.push({
        operation: 'redraw seam',
        piece: role,
        part: this.seam,
        byMm,
        beforeMm,
        afterMm: beforeMm + (isLonger ? gainMm : -gainMm),
      });
    }
    this.restMm -= Math.sign(this.restMm) * wantedMm;
    return true;
  }
}

const MOVED_MM = 0.005;
/** What is off by less is how coordinates are rounded. */
const OFF_MM = 0.05;
/** Halvings of a few millimetres down to a ten-thousandth. */
const BISECTIONS = 16;
