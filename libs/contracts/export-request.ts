import { canonicalJson } from './canonical-json.js';
import { EXPORT_LAYERS, EXPORT_PAPERS } from './export-words.js';
import { fields, list, oneOf } from './field.js';
import { toProblem } from './issues-to-problems.js';
import type { Parsed } from './problem.js';
import { readWith } from './queries.js';

/** A print of a finished draft as it is understood, every layer in its place. */
export interface ExportRequest {
  readonly paper: (typeof EXPORT_PAPERS)[number];
  /** In drawing order, each once. */
  readonly layers: readonly (typeof EXPORT_LAYERS)[number][];
}

const LAYERS = list(oneOf(EXPORT_LAYERS), EXPORT_LAYERS.length);

export const EXPORT_REQUEST = fields({ paper: oneOf(EXPORT_PAPERS), layers: LAYERS.optional() }).meta({
  id: 'ExportRequest',
});

/** Without one of these there is nothing to cut along. */
const LINES_TO_CUT = ['cut-line', 'seam-line'] as const;

/** Read what a print is asked for, or say everything that is wrong with it. All layers when none are named. */
export function readExportRequest(json: unknown): Parsed<ExportRequest> {
  const read = readWith(EXPORT_REQUEST, json);
  if (!read.ok) return read;
  const { paper, layers: asked = EXPORT_LAYERS } = read.value;
  const layers = EXPORT_LAYERS.filter((layer) => asked.includes(layer));
  if (layers.some((layer) => LINES_TO_CUT.some((line) => line === layer)))
    return { ok: true, value: { paper, layers } };
  const fault = {
    code: 'NOT_ALLOWED',
    allowed: { form: 'layers with the cut line or the seam line among them' },
    says: 'has neither cut line nor seam line, so nobody could cut by it',
    action: 'Add "cut-line", or leave the layers out to get them all.',
  } as const;
  return { ok: false, problems: [toProblem(['layers'], asked, fault)] };
}

/** The text two requests for the same print have in common. */
export function exportRequestText(request: ExportRequest): string {
  return canonicalJson({ paper: request.paper, layers: [...request.layers] });
}
