import type { MessageTopic } from '#contracts';
import type {
  CheckId,
  DraftId,
  ExportId,
  MarkerId,
  Session,
  ShopId,
  Transaction,
  WorkMoves,
} from '#persistence';
import { announceLater } from './announce-later.js';
import type { WorkerParts } from './worker-parts.js';

/** What every piece of work that rows keep has in common. */
export interface Work {
  readonly id: string;
  readonly state: string;
  readonly attempt: number;
  readonly sequence: number;
  readonly updatedAt: Date;
}

/** Work that a worker holds: begun by it, under this attempt. */
export interface Held<Id extends string> {
  readonly shopId: ShopId;
  readonly id: Id;
  readonly attempt: number;
}

/** A kind of work: where its rows are, how they move, and what asks for it. */
export interface WorkKind<Id extends string, Stored extends Work = Work> {
  /** What events in the log begin with. */
  readonly word: 'draft' | 'export' | 'marker' | 'check';
  readonly topic: Extract<MessageTopic, 'produce-draft' | 'make-export' | 'lay-marker' | 'check-pattern'>;
  /** What a payload and a log line name it by. */
  readonly idField: 'draftId' | 'exportId' | 'markerId' | 'checkId';
  readonly moves: WorkMoves<Id, Stored, string>;
  find(session: Session, shopId: ShopId, id: Id): Promise<Stored | undefined>;
  stalled(
    session: Session,
    before: Date,
    countMax: number,
  ): Promise<readonly { readonly shopId: ShopId; readonly work: Stored }[]>;
  /** In the transaction that ended it: the word to whoever waits for it. */
  announce(tx: Transaction, shopId: ShopId, work: Stored): Promise<void>;
}

export type KindParts = Pick<
  WorkerParts,
  | 'drafts'
  | 'moves'
  | 'exports'
  | 'exportMoves'
  | 'markers'
  | 'markerMoves'
  | 'checks'
  | 'checkMoves'
  | 'outbox'
  | 'newId'
  | 'now'
>;

export function draftKind(parts: KindParts) {
  const { drafts, moves } = parts;
  return {
    word: 'draft',
    topic: 'produce-draft',
    idField: 'draftId',
    moves,
    find: (session, shopId, id) => drafts.find(session, shopId, id),
    stalled: (session, before, countMax) => drafts.stalled(session, before, countMax),
    announce: (tx, shopId, draft) => announceLater(parts, tx, shopId, 'draft', draft),
  } satisfies WorkKind<DraftId, Awaited<ReturnType<typeof drafts.insert>>>;
}

export function exportKind({ exports, exportMoves }: KindParts) {
  return {
    word: 'export',
    topic: 'make-export',
    idField: 'exportId',
    moves: exportMoves,
    find: (session, shopId, id) => exports.find(session, shopId, id),
    stalled: (session, before, countMax) => exports.stalled(session, before, countMax),
    // No event is told of a print: whoever asked for it waits for it.
    announce: () => Promise.resolve(),
  } satisfies WorkKind<ExportId, Awaited<ReturnType<typeof exports.insert>>>;
}

export function markerKind(parts: KindParts) {
  const { markers, markerMoves } = parts;
  return {
    word: 'marker',
    topic: 'lay-marker',
    idField: 'markerId',
    moves: markerMoves,
    find: (session, shopId, id) => markers.find(session, shopId, id),
    stalled: (session, before, countMax) => markers.stalled(session, before, countMax),
    announce: (tx, shopId, marker) => announceLater(parts, tx, shopId, 'marker', marker),
  } satisfies WorkKind<MarkerId, Awaited<ReturnType<typeof markers.insert>>>;
}

export function checkKind(parts: KindParts) {
  const { checks, checkMoves } = parts;
  return {
    word: 'check',
    topic: 'check-pattern',
    idField: 'checkId',
    moves: checkMoves,
    find: (session, shopId, id) => checks.find(session, shopId, id),
    stalled: (session, before, countMax) => checks.stalled(session, before, countMax),
    announce: (tx, shopId, check) => announceLater(parts, tx, shopId, 'check', check),
  } satisfies WorkKind<CheckId, Awaited<ReturnType<typeof checks.insert>>>;
}

/** Every kind there is, for what looks after all of them. */
export function workKinds(parts: KindParts): readonly WorkKind<never>[] {
  return [draftKind(parts), exportKind(parts), markerKind(parts), checkKind(parts)];
}

export function isUnfinished({ state }: Pick<Work, 'state'>): boolean {
  return state === 'accepted' || state === 'working';
}
