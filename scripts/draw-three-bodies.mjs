// Draws the pictures of docs/three-bodies.md from the files of three drafts: build, then node scripts/draw-three-bodies.mjs
// Sheets and tiles are drawn from the PDFs by poppler (pdftoppm), as a printer would; the proof by the service itself.
import { Buffer } from 'node:buffer';
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { readDraftRequest } from '../dist/libs/contracts/index.js';
import { engineVersion, produceDeliverables } from '../dist/libs/deliverables/index.js';
import { renderPng } from '../dist/libs/render/index.js';

const PICTURES = new URL('../docs/pictures/', import.meta.url);
const PROOF_PX = 1700;

/** Invented: no person has these measures. mm. */
const BODIES = {
  short: {
    ref: 'body-2001',
    sex: 'female',
    paper: 'a0',
    measures: {
      waistGirth: 820,
      hipGirth: 980,
      thighGirth: 605,
      kneeGirth: 395,
      heelGirth: 280,
      totalCrotchLength: 590,
      backCrotchLength: 340,
      waistHeight: 860,
      hipHeight: 680,
      insideLegLength: 620,
      kneeHeight: 360,
      stature: 1440,
    },
  },
  tall: {
    ref: 'body-2002',
    sex: 'male',
    paper: 'roll-914',
    measures: {
      waistGirth: 960,
      hipGirth: 1050,
      thighGirth: 655,
      kneeGirth: 405,
      heelGirth: 360,
      totalCrotchLength: 680,
      backCrotchLength: 385,
      waistHeight: 1250,
      hipHeight: 1015,
      insideLegLength: 975,
      kneeHeight: 555,
      stature: 1980,
    },
  },
  round: {
    ref: 'body-2003',
    sex: 'male',
    paper: 'a0',
    // The service asks about such a waist, and the technician has said that it is right.
    confirm: ['MEASURES_DOUBTFUL'],
    measures: {
      waistGirth: 1350,
      hipGirth: 1110,
      thighGirth: 700,
      kneeGirth: 440,
      heelGirth: 360,
      totalCrotchLength: 670,
      backCrotchLength: 350,
      waistHeight: 1050,
      hipHeight: 850,
      insideLegLength: 790,
      kneeHeight: 495,
      stature: 1750,
    },
  },
};

const folder = mkdtempSync(join(tmpdir(), 'forkline-three-bodies-'));
for (const [name, { paper, confirm = [], ...body }] of Object.entries(BODIES))
  await draw(name, paper, confirm, body);
rmSync(folder, { recursive: true });

async function draw(name, paper, confirm, body) {
  const read = readDraftRequest({
    body: { ...body, insideLegTaken: 'taped' },
    confirm,
    block: 'from-body',
    alterations: [{ use: 'drop-crotch', with: { hemIn: 19 } }],
    outputs: ['proof', 'sheet', 'tiles-a4'],
    finish: { pockets: 'side-seam', paper },
    reference: body.ref.replace('body', 'order').replace('-', ' '),
    dated: '2026-04-01',
  });
  if (!read.ok) throw new Error(JSON.stringify(read.problems, null, 1));
  const { files, findings } = await produceDeliverables(read.request, engineVersion(), () => undefined);
  const bytesOf = (file) => files.find((each) => each.name === file).bytes;
  const textOf = (file) => Buffer.from(bytesOf(file)).toString('utf8');
  const { pages } = JSON.parse(textOf('draft.json'));
  console.log(name, pages, findings.map(({ level, code }) => `${level} ${code}`).join(', '));
  for (const file of ['sheet.pdf', 'tiles-a4.pdf']) writeFileSync(join(folder, file), bytesOf(file));
  page('sheet.pdf', 1, 900, `${name}-sheet`);
  page('tiles-a4.pdf', 1, 900, `${name}-tiles-cover`);
  page('tiles-a4.pdf', Math.ceil(pages['tiles-a4.pdf'] / 2), 700, `${name}-tiles-page`);
  const svg = textOf('proof.svg');
  writeFileSync(new URL(`${name}-proof.png`, PICTURES), await renderPng(svg, PROOF_PX));
}

/** One page of a PDF as a grey picture so many pixels wide. */
function page(pdf, number, widthPx, picture) {
  const pages = ['-f', number, '-l', number, '-singlefile', '-gray', '-png'].map(String);
  const size = ['-scale-to-x', String(widthPx), '-scale-to-y', '-1'];
  const target = new URL(picture, PICTURES).pathname;
  const { status, stderr } = spawnSync('pdftoppm', [...pages, ...size, join(folder, pdf), target], {
    encoding: 'utf8',
  });
  if (status !== 0) throw new Error(`pdftoppm: ${stderr}`);
}
