import { describe, expect, it } from '@jest/globals';
import { readDraftRequest } from '#contracts';
import { readDxf } from '#interchange';
import { WORKED_BODY } from '../../test/support/worked-body.js';
import { produceDraft, type DraftOrder, type DraftOutcome } from './index.js';

const PROVENANCE = { engine: 'forkline test', requestHash: '0'.repeat(64) };

function orderOf(rest: Record<string, unknown>): DraftOrder {
  const { ref, sex, measures } = WORKED_BODY;
  const read = readDraftRequest({
    body: { ref, sex, measures },
    block: 'from-body',
    alterations: [{ use: 'drop-crotch' }],
    reference: 'order 1042',
    ...rest,
  });
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.request;
}

function produced(rest: Record<string, unknown>): DraftOutcome {
  return produceDraft(orderOf(rest), PROVENANCE);
}

function json(outcome: DraftOutcome, name: string): Record<string, unknown> {
  const file = outcome.files.find((each) => each.name === name);
  return JSON.parse(file?.text ?? 'null') as Record<string, unknown>;
}

const EVERY = [
  'pattern',
  'sheet',
  'tiles-a4',
  'tiles-letter',
  'tiles-a3',
  'tiles-tabloid',
  'dxf',
  'plot',
  'bundle',
];

describe('produceDraft with outputs of cut pieces', () => {
  const outcome = produced({ outputs: EVERY });

  it('gives every file and print that was asked for', () => {
    expect(outcome.files.map(({ name }) => name)).toEqual([
      'draft.json',
      'truing.json',
      'pattern.svg',
      'pattern.dxf',
      'plot.plt',
    ]);
    expect(outcome.prints.map(({ name }) => name)).toEqual([
      'sheet.pdf',
      'tiles-a4.pdf',
      'tiles-letter.pdf',
      'tiles-a3.pdf',
      'tiles-tabloid.pdf',
    ]);
    expect(outcome.bundled).toBe(true);
  });

  it('says the count of pages before anybody prints', () => {
    const { pages } = json(outcome, 'draft.json');
    expect(pages).toEqual(
      Object.fromEntries(outcome.prints.map(({ name, sheets }) => [name, sheets.length])),
    );
  });

  it('lets the hem corners decide', () => {
    const { corners, sewable } = json(outcome, 'truing.json') as {
      corners: { at: string; sum: number; state: string }[];
      sewable: boolean;
    };
    const hems = corners.filter(({ at }) => at.endsWith('Hem'));
    expect(hems.map(({ sum, state }) => [Math.round(sum), state])).toEqual([
      [180, 'ok'],
      [180, 'ok'],
    ]);
    expect(sewable).toBe(true);
  });

  it('draws the same pieces in each', () => {
    const dxf = outcome.files.find(({ name }) => name === 'pattern.dxf')?.text ?? '';
    const ids = (json(outcome, 'draft.json')['cutPieces'] as { id: string }[]).map(({ id }) => id);
    expect(readDxf(dxf).pattern?.pieces.map(({ block }) => block.toLowerCase())).toEqual(ids);
    const svg = outcome.files.find(({ name }) => name === 'pattern.svg')?.text ?? '';
    for (const layer of ['cut-line', 'seam-line', 'notches', 'labels'])
      expect(svg).toContain(`<g id="${layer}">`);
    const cutLines = svg.slice(svg.indexOf('<g id="cut-line">')).split('</g>')[0];
    expect(cutLines.match(/<path/g)).toHaveLength(ids.length);
  });

  it('gives the same text each time', () => {
    expect(produced({ outputs: EVERY }).files).toEqual(outcome.files);
  });

  it('puts no body measure into a cut file', () => {
    for (const { name, text } of outcome.files.filter((file) => /dxf|plt/.test(file.name)))
      expect([name, /body-1042|waistGirth|hipGirth/.test(text)]).toEqual([name, false]);
  });

  it('grows the pieces for shrinkage, and says so', () => {
    const grown = produced({ outputs: ['dxf'], cloth: { shrinkage: { warp: 4, weft: 0 } } });
    const heightOf = (each: DraftOutcome): number =>
      (json(each, 'draft.json')['cutPieces'] as { heightMm: number }[])[0].heightMm;
    const plain = produced({ outputs: ['dxf'] });
    // Hem and waist allowances, some 50 mm, do not grow.
    const ratio = (heightOf(grown) - 50) / (heightOf(plain) - 50);
    // The other formula, 1 + s, would give 1.04, which is 0.0017 off.
    expect(Math.abs(ratio - 1 / 0.96)).toBeLessThan(1e-3);
    expect(json(grown, 'truing.json')['grownFor']).toEqual({ warp: 0.04, weft: 0 });
  });

  it('finds that a piece is larger than its paper, and still gives the rest', () => {
    const wide = produced({
      outputs: ['sheet', 'dxf'],
      finish: { paper: 'roll-610', allowances: { outseam: 80, inseam: 80 }, waist: { height: '12 cm' } },
      ease: { name: 'full', hip: 300, thigh: 200 },
    });
    expect(wide.files.map(({ name }) => name)).toContain('pattern.dxf');
    const codes = wide.findings.map(({ code }) => code);
    expect(wide.prints).toEqual([]);
    expect(codes).toContain('PAPER_TOO_SMALL');
  });
});
