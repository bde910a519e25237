import type { CertificateFault } from './certificate.js';
import { certifyPlaces } from './certify-marker.js';
import { Chain } from './chain.js';
import { figuresOf, type MarkerFigures } from './figures.js';
import { copyOf, type Lay } from './lay.js';
import { MarkerError } from './marker-error.js';
import type { MarkerPlan } from './plan-marker.js';
import type { Placement, StartPlace } from './request.js';
import { startLay } from './start-lay.js';

/** A certified layout and its figures. */
export interface Marker {
  readonly seed: number;
  /** Which of the independent chains of this seed found it. */
  readonly chain: number;
  /** Moves the chain had made when asked. */
  readonly work: number;
  readonly placements: readonly Placement[];
  readonly figures: MarkerFigures;
  /** False when the marker is longer than the cloth's lengthMax. */
  readonly fits: boolean;
}

export interface MarkerProgress {
  readonly work: number;
  readonly cycles: number;
  /** Shortest length found so far; the length of a plain layout by boxes before the search found any. */
  readonly length: number;
}

/** A layout that the search called sound and the certificate did not: a fault of the engine, never of the request. */
export interface RefusedLayout {
  readonly seed: number;
  readonly chain: number;
  readonly work: number;
  readonly faults: readonly CertificateFault[];
}

export interface EngineOptions {
  readonly seed: number;
  /** 0, 1, ... for independent searches of one seed. */
  readonly chain: number;
  /** Places of an earlier marker to begin from, of the same pieces, fewer, or ones of slightly different outline. */
  readonly startFrom?: readonly StartPlace[];
}

/** Refusals kept to be reported; one is enough to find the cause. */
const REFUSALS_MAX = 5;

/**
 * Lays one plan, in steps of about 5 ms, for as long as the caller likes.
 *
 * Same plan, seed, chain, start and work: the same marker, bit for bit. The engine has no clock; a caller with one stops
 * asking. What it hands out has passed the certificate.
 */
export class MarkerEngine {
  private readonly chain: Chain;
  private readonly running: Generator<void, never>;
  private certified: { readonly lay: Lay; readonly marker: Marker } | undefined;
  private readonly refusals: RefusedLayout[] = [];

  constructor(
    private readonly plan: MarkerPlan,
    private readonly options: EngineOptions,
  ) {
    this.chain = new Chain(plan.task, options.seed, options.chain);
    this.running = this.chain.run();
    // The layout by boxes comes first, so that there is always a certified one to fall back on.
    this.certify(this.chain.best);
    if (options.startFrom !== undefined) this.chain.startFrom(startLay(plan, options.startFrom));
  }

  /** One step: about 5 ms. */
  step(): MarkerProgress {
    this.running.next();
    return this.progress();
  }

  /** Steps until the chain has made `work` moves in all; returns at once when it has. */
  runTo(work: number): MarkerProgress {
    while (this.chain.moves < work) this.running.next();
    return this.progress();
  }

  /**
   * The shortest marker so far that the certificate passed; before the first step a plain layout by boxes.
   *
   * A layout that the certificate refuses is left out and kept in `refused`; the search then starts afresh from the last
   * certified one. Throws MarkerError NOT_CERTIFIED only when not even the layout by boxes passes.
   */
  best(): Marker {
    const lay = this.chain.best;
    if (this.certified?.lay.length !== lay.length) this.certify(lay);
    return { ...(this.certified as { marker: Marker }).marker, work: this.chain.moves };
  }

  /** What `best` had to leave out. */
  get refused(): readonly RefusedLayout[] {
    return this.refusals;
  }

  private certify(lay: Lay): void {
    const { seed, chain } = this.options;
    const published = this.publish(lay);
    if ('marker' in published) {
      this.certified = { lay: copyOf(lay), marker: published.marker };
      return;
    }
    const { faults } = published;
    if (this.certified === undefined) throw new MarkerError('NOT_CERTIFIED', { seed, chain, faults });
    if (this.refusals.length < REFUSALS_MAX)
      this.refusals.push({ seed, chain, work: this.chain.moves, faults });
    this.chain.goBackTo(this.certified.lay);
  }

  private progress(): MarkerProgress {
    const { moves, cycles, best } = this.chain;
    return { work: moves, cycles, length: this.lengthOf(best) };
  }

  private publish(lay: Lay): { readonly marker: Marker } | { readonly faults: readonly CertificateFault[] } {
    const { plan, options } = this;
    const { request } = plan;
    const placements = placementsOf(plan, lay);
    const length = this.lengthOf(lay);
    const faults = certifyPlaces(plan, length, placements);
    if (faults.length > 0) return { faults };
    const fits = request.cloth.lengthMax === undefined || length <= request.cloth.lengthMax;
    const { seed, chain } = options;
    return { marker: { seed, chain, work: 0, placements, figures: figuresOf(request, length), fits } };
  }

  /** Rounded up to the grid, end margin included. */
  private lengthOf(lay: Lay): number {
    const { request, task, unitsPer } = this.plan;
    let right = 0;
    for (let i = 0; i < lay.xs.length; i++)
      right = Math.max(right, Math.round(lay.xs[i]) + task.reach[lay.vs[i]]);
    const end = (request.cloth.endMargin ?? 0) * unitsPer;
    return (right + (Number.isInteger(end) ? end : Math.ceil(end + 1e-6))) / unitsPer;
  }
}

function placementsOf({ request, task, unitsPer, garmentOf }: MarkerPlan, lay: Lay): Placement[] {
  return Array.from(lay.vs, (v, i) => {
    const { shape, turn, mirrored } = task.variants[v];
    return {
      piece: request.pieces[shape].id,
      garment: garmentOf[i],
      turn,
      mirrored,
      x: Math.round(lay.xs[i]) / unitsPer,
      y: Math.round(lay.ys[i]) / unitsPer,
    };
  });
}
