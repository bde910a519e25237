import type { CutPiece } from '#finishing';
import { laidFile, Laying, markerFiles, markersToWrite, planLaying, type ClothToCut } from '#laying';
import type { Finding } from '#pattern';
import type { WrittenFiles } from './finish-stage.js';
import type { DraftOrder, Provenance } from './draft-order.js';

/** Cloth as a shop has it where the order does not say (common practice, no source). */
const USUAL_CLOTH = { widthMm: 1500, selvedgeMm: 10, endMarginMm: 20, gapMm: 2, nap: 'free' } as const;

/**
 * How long the marker of one draft is searched for, in moves a piece: half a second. Five trousers of different bodies
 * came out at most 0.2 % shorter after twenty times as much. By work and not by a clock, so that the same draft has the
 * same marker.
 */
const MOVES_PER_PIECE = 1_000;
const SEED = 1;

export interface MarkerStage extends WrittenFiles {
  readonly findings: readonly Finding[];
}

/**
 * The draft's own marker: its shell pieces on its cloth.
 *
 * Shape   marker.json, marker.svg, marker.pdf. Cloth that cannot take a piece is a finding, and nothing is laid.
 */
export function markerStage(
  order: DraftOrder,
  { engine }: Provenance,
  pieces: readonly CutPiece[],
): MarkerStage {
  const cloth = clothOf(order);
  const reference = order.reference ?? order.body.ref;
  const answer = planLaying({ reference, garments: [{ reference, pieces }], cloths: [cloth] });
  if (!answer.ok) {
    const findings = answer.problems.map(({ code, found, allowed, action, pointer }): Finding => ({
      code: `MARKER_${code}`,
      level: 'warning',
      message: `The marker was not laid: ${pointer} is ${found}, allowed is ${allowed}.`,
      action: `${action.charAt(0).toUpperCase()}${action.slice(1)}.`,
      pointer: '/cloth',
    }));
    return { files: [], prints: [], findings };
  }
  const { plan } = answer;
  const laid = new Laying(plan, { seed: SEED, chain: 0 }).layTo(MOVES_PER_PIECE);
  const provenance = { engine, ...(order.dated === undefined ? {} : { dated: order.dated }) };
  const written = markerFiles(markersToWrite(plan, laid), ['svg', 'pdf'], provenance);
  // A draft names one cloth; that linings and fusible are cut from others is no news. Written unrounded: it is proven so.
  const findings = [
    ...plan.findings.filter(({ code }) => code !== 'NO_CLOTH_FOR_USE'),
    ...assumedWidth(order),
  ];
  const json = `${JSON.stringify(laidFile(plan, laid, provenance, findings), undefined, 1)}\n`;
  return { files: [{ name: 'marker.json', text: json }, ...written.files], prints: written.prints, findings };
}

function clothOf({ cloth = {} }: DraftOrder): ClothToCut {
  const { name, widthMm, repeatMm, nap, selvedgeMm, endMarginMm, gapMm, pricePerMetre } = cloth;
  return {
    name: name ?? 'cloth',
    use: 'shell',
    widthMm: widthMm ?? USUAL_CLOTH.widthMm,
    selvedgeMm: selvedgeMm ?? USUAL_CLOTH.selvedgeMm,
    endMarginMm: endMarginMm ?? USUAL_CLOTH.endMarginMm,
    gapMm: gapMm ?? USUAL_CLOTH.gapMm,
    nap: nap ?? USUAL_CLOTH.nap,
    ...(repeatMm === undefined ? {} : { repeatAlongMm: repeatMm }),
    ...(pricePerMetre === undefined ? {} : { pricePerMetre }),
  };
}

function assumedWidth({ cloth }: DraftOrder): Finding[] {
  if (cloth?.widthMm !== undefined) return [];
  return [
    {
      code: 'CLOTH_WIDTH_ASSUMED',
      level: 'info',
      message: `The marker is laid on cloth ${USUAL_CLOTH.widthMm} mm wide, because the order does not say how wide it is.`,
      action: 'Send the width of the cloth.',
      pointer: '/cloth/width',
      numbers: { widthMm: USUAL_CLOTH.widthMm },
    },
  ];
}
