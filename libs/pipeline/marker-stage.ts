import {
  laidFile,
  Laying,
  markerFiles,
  markersToWrite,
  planLaying,
  type ClothToCut,
  type LayingAnswer,
} from '#laying';
import type { Finding } from '#pattern';
import type { DraftOrder, Provenance } from './draft-order.js';
import type { CutFiles, FinishStage } from './finish-stage.js';

/**
 * Moves a piece: two or three seconds for one trouser, after which more gains a millimetre a second. By work and never by
 * the clock, so that the same request gives the same bytes.
 */
const MOVES_PER_PIECE = 500;
const SEED = 1;

const USUAL_NAME = 'cloth';

/** The draft's own marker, where the order asks for one. */
export function markerFilesOf(order: DraftOrder, { engine }: Provenance, stage: FinishStage): CutFiles {
  const { cloth, reference = order.body.ref, dated } = order;
  if (!order.outputs.includes('marker') || cloth?.widthMm === undefined)
    return { files: [], prints: [], findings: [] };
  const cloths = [clothToCut(cloth, cloth.widthMm)];
  const answer = planLaying({ reference, garments: [{ reference, pieces: stage.pattern.pieces }], cloths });
  if (!answer.ok) return { files: [], prints: [], findings: notLaid(answer.problems) };
  const { plan } = answer;
  const laid = new Laying(plan, { seed: SEED, chain: 0 }).layTo(MOVES_PER_PIECE);
  const findings = plan.findings.map(asRemark);
  const provenance = { engine, ...(dated === undefined ? {} : { dated }) };
  const written = markerFiles(markersToWrite(plan, laid), ['svg', 'pdf'], provenance);
  // Not rounded: the certificate holds for the numbers as they are.
  const json = `${JSON.stringify(laidFile(plan, laid, provenance, findings), null, 1)}\n`;
  return { files: [{ name: 'marker.json', text: json }, ...written.files], prints: written.prints, findings };
}

function clothToCut(cloth: NonNullable<DraftOrder['cloth']>, widthMm: number): ClothToCut {
  const { name = USUAL_NAME, repeatMm, selvedgeMm, endMarginMm, gapMm, nap, pricePerMetre } = cloth;
  return {
    name,
    use: 'shell',
    widthMm,
    ...(repeatMm === undefined ? {} : { repeatAlongMm: repeatMm }),
    ...(selvedgeMm === undefined ? {} : { selvedgeMm }),
    ...(endMarginMm === undefined ? {} : { endMarginMm }),
    ...(gapMm === undefined ? {} : { gapMm }),
    ...(nap === undefined ? {} : { nap }),
    ...(pricePerMetre === undefined ? {} : { pricePerMetre }),
  };
}

// A draft names one cloth, so that its linings are cut elsewhere is no reason to stop and look.
function asRemark(finding: Finding): Finding {
  return finding.code === 'NO_CLOTH_FOR_USE' ? { ...finding, level: 'info' } : finding;
}

function notLaid(problems: Extract<LayingAnswer, { readonly ok: false }>['problems']): Finding[] {
  const [first] = problems;
  if (first === undefined) return [];
  const { code, found, allowed, action } = first;
  const value = typeof found === 'number' ? Number(found.toFixed(1)) : found;
  return [
    {
      code: 'MARKER_NOT_LAID',
      level: 'warning',
      message: `The cloth cannot take the pieces (${code}: ${value}, allowed ${allowed}); no marker was laid.`,
      action: `${action.charAt(0).toUpperCase()}${action.slice(1)}.`,
      pointer: '/cloth/width',
      numbers: { problems: problems.length },
    },
  ];
}
