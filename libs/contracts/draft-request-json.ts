import { createHash } from 'node:crypto';
import type { Curve, Point } from '#geometry';
import type { Body, BodyCorrection } from '#measurements';
import type { PieceLine } from '#pattern';
import { alterationJson } from './alteration-request.js';
import { canonicalJson, type Json } from './canonical-json.js';
import type { DraftRequest } from './draft-request.js';
import { clothJson, finishJson } from './finish-request.js';
import { fittingJson } from './fitting-request.js';
import type { GivenBlock, GivenPiece } from './given-block.js';

/**
 * The request as it was understood, as JSON of the contract: every default written out, every length in mm.
 *
 * Reading it again gives the same request, so what was drafted can be sent again word for word.
 */
export function draftRequestJson(request: DraftRequest): Json {
  const {
    body,
    block,
    fitting,
    ease,
    yielding,
    alterations,
    cloth,
    finish,
    outputs,
    reference,
    dated,
    confirm,
  } = request;
  return {
    body: bodyJson(body),
    block: block === 'from-body' ? block : blockJson(block),
    fit: block === 'from-body' ? undefined : fitting === undefined ? 'as-is' : 'to-body',
    fitting: fitting === undefined ? undefined : fittingJson(fitting),
    ease: { name: ease.name, ...ease.overrides },
    yielding: yielding === undefined ? undefined : { split: yielding.splitMm, depth: yielding.depthMm },
    alterations: alterations.map(alterationJson),
    cloth: cloth === undefined ? undefined : clothJson(cloth),
    finish: finish === undefined ? undefined : finishJson(finish),
    outputs,
    reference,
    dated,
    confirm,
  };
}

/** The bytes of a request that are kept and hashed (RFC 8785). */
export function draftRequestText(request: DraftRequest): string {
  return canonicalJson(draftRequestJson(request));
}

/** SHA-256 of `draftRequestText` in UTF-8, as 64 hexadecimal digits. */
export function draftRequestHash(request: DraftRequest): string {
  return createHash('sha256').update(draftRequestText(request), 'utf8').digest('hex');
}

/** A body as JSON of the contract. */
export function bodyJson({ ref, sex, insideLegTaken, measures, corrections }: Body): Json {
  return {
    ref,
    sex,
    insideLegTaken,
    measures: { ...measures },
    corrections: corrections === undefined ? undefined : correctionsJson(corrections),
  };
}

/** What fittings taught a body as JSON of the contract. */
export function correctionsJson(
  corrections: readonly BodyCorrection[],
): { readonly date: string; readonly use: BodyCorrection['use']; readonly with: { readonly by: number } }[] {
  return corrections.map(({ date, use, byMm }) => ({ date, use, with: { by: byMm } }));
}

/** A given block as JSON of the contract. */
export function blockJson({ name, levels, pieces, waistbandMm }: GivenBlock): Json {
  return {
    name,
    levels: { ...levels },
    pieces: pieces.map(pieceJson),
    waistband: waistbandMm === undefined ? undefined : { lengthMm: waistbandMm },
  };
}

function pieceJson({ role, edges, notches, lines }: GivenPiece): Json {
  return {
    role,
    edges: edges.map(({ role: part, id, from, curve }) => ({ role: part, id, from, ...curveJson(curve) })),
    notches: notches.map(({ edge, fromStartMm, kind, name }) => ({
      edge,
      fromStart: fromStartMm,
      kind,
      name,
    })),
    lines: lines.map(lineJson),
  };
}

function curveJson(curve: Curve): { readonly [name: string]: Json } {
  if (curve.kind === 'line') return { line: [curve.p0, curve.p1].map(pointJson) };
  return { cubic: [curve.p0, curve.p1, curve.p2, curve.p3].map(pointJson) };
}

function lineJson({ role, curves }: PieceLine): Json {
  const [first, ...rest] = curves;
  if (first.kind === 'cubic') return { role, ...curveJson(first) };
  const corners = [first, ...rest].flatMap((curve) => (curve.kind === 'line' ? [curve.p1] : []));
  return { role, points: [first.p0, ...corners].map(pointJson) };
}

function pointJson({ x, y }: Point): Json {
  return [x, y];
}
