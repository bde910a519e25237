import {
  canonicalJson,
  CLOTH_FIELD_NAMES,
  draftRequestHash,
  finishByDefault,
  markerOrderJson,
  type DraftRequest,
  type MarkerOrder,
} from '#contracts';
import {
  bestLaid,
  comparisonOf,
  isCertified,
  laidFile,
  Laying,
  markersToWrite,
  planLaying,
  readEarlierMarkers,
  requestOf,
  type GarmentToLay,
  type LaidMarker,
  type LaidOrder,
  type LayingPlan,
  type LayingProgress,
} from '#laying';
import type { MarkerProblem } from '#marker';
import type { Finding } from '#pattern';
import { cutPiecesOf } from '#pipeline';
import type { Deliverable } from './deliverable.js';
import { sha256 } from './manifest.js';
import { markerDeliverables } from './marker-deliverables.js';

/** What each draft of an order was made from, in the order of its drafts. */
export type DraftsOnMarker = readonly DraftRequest[];

/** One marker in figures: lengths in mm, areas in mm2. */
export interface MarkerSummary {
  readonly cloth: string;
  readonly roll?: string;
  readonly garments: readonly string[];
  readonly pieces: number;
  readonly lengthMm: number;
  /** With the end allowance. */
  readonly clothLengthMm: number;
  /** 0..1. */
  readonly utilisation: number;
  readonly lengthPerGarmentMm: number;
  readonly lowerBoundMm: number;
  readonly pieceAreaMm2: number;
  /** Of all cut lines. */
  readonly perimeterMm: number;
  readonly cost?: number;
  /** Against the marker before, of its length per garment. */
  readonly savedPercent?: number;
}

export interface MarkerResult {
  readonly markers: readonly MarkerSummary[];
  /** Garments that no roll had room for. */
  readonly left: readonly { readonly cloth: string; readonly garment: string }[];
  readonly remnants: readonly { readonly cloth: string; readonly roll: string; readonly lengthMm: number }[];
}

export type MarkerMade =
  | {
      /** `marker.json` first, `manifest.json` last. */
      readonly files: readonly Deliverable[];
      readonly findings: readonly Finding[];
      readonly result: MarkerResult;
      readonly lengthMm: number;
      /** Layouts the certificate refused on the way. */
      readonly refusedCount: number;
    }
  | Refused;

/** What is to be laid, as far as the service's rows are behind it. */
export interface MarkerJob {
  readonly order: MarkerOrder;
  readonly drafts: DraftsOnMarker;
  /** `marker.json` of the marker that the search begins from. */
  readonly earlier?: EarlierFile;
}

export interface EarlierFile {
  readonly json: unknown;
  readonly sha256: string;
}

/** What one search of an order came to: plain data, to be kept and sent on. */
export type MarkerFound = { readonly laid: LaidOrder } | Refused;

interface Refused {
  readonly refusal: readonly { readonly pointer: string; readonly code: string; readonly says: string }[];
}

/**
 * One of the independent searches of an order: chain 0, 1, ...
 *
 * Shape   `goesOn` is asked after each step of about 5 ms and ends the search; whoever answers by the moves alone gets the
 *         same layout each time. The search begins with a plain layout, so there is a marker whenever it ends.
 * Errors  none for orders that came through the door: what the cloth cannot take is a refusal. A throw is a bug.
 * Cost    5 ms a draft, some seconds for the tables of a hundred different pieces, and the search.
 */
export function searchMarker(
  job: MarkerJob,
  chain: number,
  goesOn: (progress: LayingProgress) => boolean,
): MarkerFound {
  const planned = planOf(job);
  return 'refusal' in planned ? planned : { laid: searched(planned.plan, job, chain, goesOn) };
}

/**
 * The best of what the searches of an order have found, with every file of it.
 *
 * Shape   each layout is certified again here, wherever it was found, and one that fails counts as refused; of those that
 *         pass the best is kept, whatever their order. At least one must be this engine's own.
 * Cost    5 ms a draft and 0.1 s a file.
 */
export async function writeMarker(
  job: MarkerJob,
  engine: string,
  found: readonly LaidOrder[],
): Promise<MarkerMade> {
  const planned = planOf(job);
  if ('refusal' in planned) return planned;
  const sound = found.filter((laid) => isCertified(planned.plan, laid));
  return written(planned.plan, job, engine, sound, found.length - sound.length);
}

/** Search once and write: the same as the two in turn, planned once. */
export async function produceMarker(
  job: MarkerJob,
  engine: string,
  goesOn: (progress: LayingProgress) => boolean,
): Promise<MarkerMade> {
  const planned = planOf(job);
  if ('refusal' in planned) return planned;
  // The files of the plain layout once, so that fonts are read and code is warm when somebody cancels and waits for them.
  await written(planned.plan, job, engine, [searched(planned.plan, job, 0, () => false)], 0);
  // Its engine has just certified it.
  return written(planned.plan, job, engine, [searched(planned.plan, job, 0, goesOn)], 0);
}

function planOf({ order, drafts }: MarkerJob): { readonly plan: LayingPlan } | Refused {
  const garments = garmentsOf(order, drafts);
  const answer = planLaying({ reference: referenceOf(order), garments, cloths: order.cloths });
  if (answer.ok) return { plan: answer.plan };
  return { refusal: answer.problems.map((problem) => saidOf(problem, order)) };
}

function referenceOf({ reference }: MarkerOrder): string {
  return reference ?? 'marker';
}

function searched(
  plan: LayingPlan,
  { order, earlier }: MarkerJob,
  chain: number,
  goesOn: (progress: LayingProgress) => boolean,
): LaidOrder {
  const start = earlier === undefined ? {} : { earlier: readEarlierMarkers(earlier.json) };
  const laying = new Laying(plan, { seed: order.seed, chain, ...start });
  while (goesOn(laying.step()));
  return laying.best();
}

async function written(
  plan: LayingPlan,
  job: MarkerJob,
  engine: string,
  sound: readonly LaidOrder[],
  unsoundCount: number,
): Promise<MarkerMade> {
  const { order } = job;
  const laid = bestLaid(plan, sound);
  if (laid === undefined) throw new Error('NOTHING_CERTIFIED');
  const findings = [
    ...plan.findings,
    ...leftOver(plan, laid),
    ...fewerSearches(order, sound.length),
    ...startGone(job),
  ];
  const dated = order.dated === undefined ? {} : { dated: order.dated };
  return {
    files: await markerDeliverables({
      reference: referenceOf(order),
      json: laidFile(plan, laid, { engine, ...dated }, findings),
      markers: markersToWrite(plan, laid),
      outputs: order.outputs,
      provenance: { engine, requestHash: hashOf(job) },
      ...dated,
    }),
    findings,
    result: resultOf(plan, laid),
    lengthMm: laid.markers.reduce((sum, { marker }) => sum + marker.figures.length, 0),
    refusedCount: laid.refused.length + unsoundCount,
  };
}

/** Drafts by what they were made from, since no file holds an id of the service. */
function hashOf({ order, drafts: requests, earlier }: MarkerJob): string {
  const { startFrom: _, ...rest } = order;
  const drafts = order.drafts.map((draft, i) => ({ ...draft, draftId: draftRequestHash(requests[i]) }));
  const start = earlier === undefined ? {} : { startFrom: earlier.sha256 };
  return sha256(new TextEncoder().encode(canonicalJson(markerOrderJson({ ...rest, ...start, drafts }))));
}

/** Each garment by a name of its own: that of its draft, with a number where there are several. */
function garmentsOf({ drafts }: MarkerOrder, requests: DraftsOnMarker): GarmentToLay[] {
  const named = drafts.map(({ reference }, i) => {
    const request = requests[i];
    return reference ?? request.reference ?? request.body.ref;
  });
  const counts = new Map<string, number>();
  drafts.forEach(({ quantity }, i) => counts.set(named[i], (counts.get(named[i]) ?? 0) + quantity));
  const used = new Map<string, number>();
  return drafts.flatMap(({ quantity, size, cloths }, i) => {
    const request = requests[i];
    const pieces = cutPiecesOf({ ...request, finish: request.finish ?? finishByDefault() }) ?? [];
    return Array.from({ length: quantity }, (): GarmentToLay => {
      const name = named[i];
      const number = (used.get(name) ?? 0) + 1;
      used.set(name, number);
      return {
        reference: counts.get(name) === 1 ? name : `${name} (${number})`,
        pieces,
        ...(size === undefined ? {} : { size }),
        ...(cloths === undefined ? {} : { cloths }),
      };
    });
  });
}

type Refusal = Refused['refusal'][number];

/** A problem of the engine's order in the words and places of what was sent: garments are counted there, drafts here. */
function saidOf({ pointer, code, found, allowed, action }: MarkerProblem, { drafts }: MarkerOrder): Refusal {
  const value = typeof found === 'number' ? Number(found.toFixed(1)) : found;
  const says = `found ${value}, allowed ${allowed}; ${action}`;
  const [, list, index, ...rest] = pointer.split('/');
  if (list === 'garments' && index !== undefined) {
    const piece = rest[0] === 'pieces' && rest[1] !== undefined ? `${rest[1]}: ` : '';
    return { pointer: `/drafts/${draftOf(Number(index), drafts)}/draftId`, code, says: `${piece}${says}` };
  }
  const named = pointer.split('/').map((part) => CLOTH_FIELD_NAMES[part] ?? part);
  return { pointer: list === 'garments' ? '/drafts' : named.join('/'), code, says };
}

/** Which draft a garment is one of. */
function draftOf(garment: number, drafts: MarkerOrder['drafts']): number {
  let before = 0;
  return drafts.findIndex(({ quantity }) => (before += quantity) > garment);
}

function leftOver(plan: LayingPlan, { left }: LaidOrder): Finding[] {
  return plan.cloths.flatMap(({ cloth, garments }, c) => {
    const names = left.filter((one) => one.cloth === c).map(({ garment }) => garments[garment].reference);
    if (names.length === 0) return [];
    return [
      {
        code: 'GARMENTS_LEFT_OVER',
        level: 'stop' as const,
        message: `The rolls of ${cloth.name} have no room for ${names.length} of ${garments.length} garments: ${names.slice(0, NAMED_MAX).join(', ')}${names.length > NAMED_MAX ? ' and others' : ''}.`,
        action: 'Name more cloth, or lay these on another.',
        numbers: { garments: names.length },
      },
    ];
  });
}

const NAMED_MAX = 5;

/** The earlier marker may be erased between the order and its turn. */
function startGone({ order, earlier }: MarkerJob): Finding[] {
  if (order.startFrom === undefined || earlier !== undefined) return [];
  return [
    {
      code: 'START_GONE',
      level: 'info' as const,
      message: 'The marker to begin from was erased before this one was laid; the search began afresh.',
      action: 'Nothing: the marker is as good as any first one.',
    },
  ];
}

/** Searches that no thread was free for, or that broke off, are done without. */
function fewerSearches({ searches }: MarkerOrder, ended: number): Finding[] {
  if (ended >= searches) return [];
  return [
    {
      code: 'FEWER_SEARCHES',
      level: 'info' as const,
      message: `${ended} of ${searches} searches came to an end in time; the best of them is kept.`,
      action: 'Nothing, unless the marker is too long: then ask for more time, or when less is being laid.',
      numbers: { searches: ended },
    },
  ];
}

function resultOf(plan: LayingPlan, laid: LaidOrder): MarkerResult {
  const rollOf = (cloth: number, roll: number | undefined): string | undefined =>
    roll === undefined ? undefined : plan.cloths[cloth].cloth.rolls?.[roll]?.name;
  return {
    markers: laid.markers.map((one) => summaryOf(plan, one, rollOf(one.cloth, one.roll))),
    left: laid.left.map(({ cloth, garment }) => ({
      cloth: plan.cloths[cloth].cloth.name,
      garment: plan.cloths[cloth].garments[garment].reference,
    })),
    remnants: laid.remnants.map(({ cloth, roll, lengthMm }) => ({
      cloth: plan.cloths[cloth].cloth.name,
      roll: rollOf(cloth, roll) ?? '',
      lengthMm,
    })),
  };
}

function summaryOf(plan: LayingPlan, laid: LaidMarker, roll: string | undefined): MarkerSummary {
  const { marker, cloth } = laid;
  const { figures } = marker;
  const comparison = comparisonOf(plan, laid);
  return {
    cloth: plan.cloths[cloth].cloth.name,
    ...(roll === undefined ? {} : { roll }),
    garments: requestOf(plan, laid).garments.map(({ reference }) => reference),
    pieces: marker.placements.length,
    lengthMm: figures.length,
    clothLengthMm: figures.clothLength,
    utilisation: figures.utilisation,
    lengthPerGarmentMm: figures.lengthPerGarment,
    lowerBoundMm: figures.lowerBound,
    pieceAreaMm2: figures.pieceArea,
    perimeterMm: figures.perimeter,
    ...(figures.cost === undefined ? {} : { cost: figures.cost }),
    ...(comparison === undefined ? {} : { savedPercent: comparison.savedPercent }),
  };
}
