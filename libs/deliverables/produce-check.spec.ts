import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from '@jest/globals';
import { CHECK_DEFAULTS } from '#checking';
import { checkWorkJson, readCheckOrder, readCheckWork, type CheckWork } from '#contracts';
import { numbersFrom } from '../../test/support/random-numbers.js';
import { describeWith, POPPLER } from '../../test/support/needs.js';
import { dxfOf } from '../../test/support/dxf-of.js';
import { withMismatch } from '../../test/support/planted-mismatches.js';
import { SEED } from '../../test/support/seed.js';
import { soundPatterns } from '../../test/support/sound-patterns.js';
import { surveyBodies } from '../../test/support/survey-bodies.js';
import { produceCheck, type CheckMade } from './produce-check.js';

const FAULTY = readFileSync(join(import.meta.dirname, '../../../examples/faulty-trouser.dxf'));
const WORK: CheckWork = {
  kind: 'dxf',
  name: 'summer trouser',
  reference: 'plm 4711',
  styleId: 'style-77',
  versionId: 'v3',
  settings: CHECK_DEFAULTS,
  correct: [],
  outputs: ['svg', 'pdf'],
  rules: { severities: [], ignore: [] },
  judgedOn: '2026-11-28',
  profiles: [
    { name: 'shop', version: 1 },
    { name: 'maison-a', version: 12 },
  ],
};

/** A sound trouser whose back inseam is too long above the knee notch. */
const [sound] = soundPatterns(surveyBodies(), 1, numbersFrom(SEED));
const LONG = dxfOf(withMismatch(sound, { seam: 'inseam', piece: 'back', at: 'top', byMm: 7 }));

const made = (change: Partial<CheckWork>, pattern: Uint8Array | string = FAULTY): Promise<CheckMade> =>
  produceCheck(
    { ...WORK, ...change },
    typeof pattern === 'string' ? Buffer.from(pattern) : pattern,
    'forkline test',
    () => undefined,
  );

const bytesOf = ({ files }: CheckMade, name: string): Uint8Array => {
  const found = files.find((file) => file.name === name);
  if (found === undefined) throw new Error(`no ${name}`);
  return found.bytes;
};
/** As much of truing.json and manifest.json as is looked at here. */
interface Written {
  readonly original: unknown;
  readonly findings: readonly { readonly code: string }[];
  readonly seams: readonly {
    readonly seam: string;
    readonly state: string;
    readonly fix: { readonly words: string };
    readonly first: { readonly lengthMm: number };
    readonly second: { readonly lengthMm: number };
  }[];
}
const jsonOf = (check: CheckMade, name: string): Written =>
  JSON.parse(Buffer.from(bytesOf(check, name)).toString()) as Written;
const sha256 = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex');

/** The texts of the sheet as one line, in the order in which they are drawn. */
function svgText(check: CheckMade): string {
  const svg = Buffer.from(bytesOf(check, 'sheet.svg')).toString();
  const texts = [...svg.matchAll(/<text[^>]*>([^<]*)<\/text>/g)].map(([, text]) => text);
  return texts.join(' ').replaceAll('&quot;', '"').replaceAll('&apos;', "'").replaceAll('&amp;', '&');
}

describe('the files of a check', () => {
  it('say which pattern was judged, by its hash and by what its sender calls it', async () => {
    const check = await made({});
    expect(jsonOf(check, 'manifest.json').original).toEqual({
      name: 'original.dxf',
      bytes: FAULTY.length,
      sha256: sha256(FAULTY),
    });
    const text = svgText(check);
    for (const part of [
      'summer trouser',
      'Style id style-77',
      'Version id v3',
      'Reference plm 4711',
      `File as it came: SHA-256 ${sha256(FAULTY).slice(0, 12)}`,
      'Rules shop, version 1',
      'Rules maison-a, version 12',
      'Judged on 2026-11-28',
      'forkline test',
    ])
      expect(text).toContain(part);
    expect(text).not.toContain('Corrected');
  });

  it('say the words of the order, as it is stored and read again', async () => {
    const words = { name: 'W-classic', reference: 'plm 4711', styleId: 'style-77', versionId: 'v3' };
    const order = readCheckOrder({ dxf: FAULTY.toString('latin1'), ...words }, 'json');
    if (!order.ok) throw new Error(JSON.stringify(order.problems));
    const rules = { tolerances: {}, severities: [], ignore: [] };
    const work = readCheckWork(checkWorkJson(order.value, { profiles: [], rules, today: '2026-11-28' }));
    if (!work.ok) throw new Error(JSON.stringify(work.problems));
    const text = svgText(await made(work.value));
    expect(text).toContain('W-classic Check of a pattern from outside');
    expect(text).toContain('Style id style-77 Version id v3 Reference plm 4711');
  });

  it('print only what is known', async () => {
    const { reference: _, styleId: _style, versionId: _version, ...bare } = WORK;
    const check = await produceCheck({ ...bare, profiles: [] }, FAULTY, 'forkline test', () => undefined);
    expect(svgText(check)).not.toMatch(/Style id|Version id|Reference|Rules|undefined/);
  });

  it('are the same for the same work, and not for another reference', async () => {
    const hashes = async (change: Partial<CheckWork>) =>
      (await made(change)).files.map(({ sha256: hash }) => hash);
    expect(await hashes({})).toEqual(await hashes({}));
    expect(await hashes({ reference: 'plm 4712' })).not.toEqual(await hashes({}));
  });

  it('tell a result in the numbers of truing.json, to a millionth', async () => {
    const check = await made({});
    const { findings } = jsonOf(check, 'truing.json');
    expect(JSON.parse(JSON.stringify(check.result.findings))).toEqual(findings);
    const written = JSON.stringify(check.result).match(/-?\d+\.\d+(?:e-?\d+)?/g) ?? [];
    expect(written.length).toBeGreaterThan(3);
    for (const number of written) expect(number).toMatch(/^-?\d+\.\d{1,6}$/);
  });
});

describe('a corrected check', () => {
  let check: CheckMade;
  let before: CheckMade;
  beforeAll(async () => {
    before = await made({}, LONG);
    check = await made({ correct: ['INSEAM_MISMATCH'] }, LONG);
  });

  it('says on its sheet that it is corrected, what was moved, and how long the seams were and are', () => {
    const text = svgText(check);
    expect(text).toContain('Check of a pattern from outside, as corrected');
    expect(text).toContain('Sewable as corrected');
    const corrected = bytesOf(check, 'corrected.dxf');
    expect(text).toContain(`Corrected file: SHA-256 ${sha256(corrected).slice(0, 12)}`);
    expect(text).toContain('Corrected: what was moved or eased (mm)');
    const { moved } = check.result;
    expect(moved.length).toBeGreaterThan(1);
    for (const { operation, piece = '', part, byMm } of moved)
      expect(text).toContain(`${operation} ${piece} ${part} ${byMm.toFixed(1)}`);
    const lengths = (of: CheckMade): [number, number] => {
      const inseam = jsonOf(of, 'truing.json').seams.find(({ seam }) => seam === 'inseam');
      if (inseam === undefined) throw new Error('no inseam');
      return [inseam.first.lengthMm, inseam.second.lengthMm];
    };
    const [was, is] = [lengths(before), lengths(check)];
    const row = [was[0], is[0], was[1], is[1]].map((mm) => mm.toFixed(1)).join(' ');
    expect(text).toContain(`inseam: front, back ${row} +${(was[1] - was[0]).toFixed(1)}`);
  });

  it('tells the sewer what to ease, whatever the findings are, and what the sign means', () => {
    const [eased] = jsonOf(check, 'truing.json').seams.filter(({ state }) => state === 'fixed');
    expect(eased.fix.words).toMatch(/^Ease in the back inseam by \d\.\d mm between .* and the fork\./);
    expect(svgText(check)).toContain(`For the sewer ${eased.fix.words}`);
    expect(svgText(check)).toContain('fixed: fits with its ease');
    expect(svgText(before)).not.toMatch(/For the sewer|fixed:/);
  });

  it('says what a corner was, and is', async () => {
    const text = svgText(await made({ correct: ['CENTRE_BACK_WAIST_ANGLE'] }));
    expect(text).toContain('Corner Was Is Should be Differs State');
    expect(text).toMatch(/Centre back waist 82\.3 90\.\d 90 [+−]?0\.\d ok/);
  });

  it('is offered on the sheet of what came, at the finding that it mends', () => {
    const [worst] = before.result.findings;
    expect(worst.code).toBe('INSEAM_MISMATCH');
    const text = svgText(before);
    expect(text).toMatch(
      /The back inseam is 7\.\d mm longer than the front's\. → .* Can be corrected: ask for INSEAM_MISMATCH\./,
    );
    expect(svgText(check)).not.toContain('ask for INSEAM_MISMATCH');
  });
});

describe('a check that is held to rules', () => {
  /** Too long below its notch, so that the notch is off as well. */
  const pattern = dxfOf(withMismatch(sound, { seam: 'inseam', piece: 'back', at: 'hem', byMm: 7 }));
  const rules: CheckWork['rules'] = {
    severities: [{ code: 'NOTCH_OFF', level: 'stop' }],
    ignore: [
      { code: 'INSEAM_MISMATCH', until: '2026-12-31', reason: 'Eased at this maker.' },
      { code: 'NOTCH_OFF', until: '2026-10-31', reason: 'over' },
    ],
  };
  let plain: CheckMade;
  let ruled: CheckMade;
  beforeAll(async () => {
    plain = await made({}, pattern);
    ruled = await made({ rules }, pattern);
  });

  it('numbers stops first, alike in its report, its result and its sheet', () => {
    expect(plain.result.findings[0].code).toBe('INSEAM_MISMATCH');
    expect(ruled.result.findings.map(({ code }) => code)).toEqual([
      'NOTCH_OFF',
      'INSEAM_MISMATCH',
      'IGNORE_OVER',
    ]);
    const order = ['stop', 'warning', 'info'];
    const ranks = ruled.result.findings.map(({ level }) => order.indexOf(level));
    expect(ranks).toEqual([...ranks].sort((a, b) => a - b));
    expect(new Set(ranks).size).toBeGreaterThan(1);
    expect(ruled.result.findings.map(({ number }) => number)).toEqual(ranks.map((_, i) => i + 1));
    expect(jsonOf(ruled, 'truing.json').findings.map(({ code }) => code)).toEqual(
      ruled.result.findings.map(({ code }) => code),
    );
    // The list of the sheet: the number of each sign stands before the words of its finding.
    const text = svgText(ruled);
    for (const { number, message, level } of ruled.result.findings.filter(({ rule }) => rule === null))
      expect(text).toContain(
        `${number} ${{ stop: 'STOP', warning: 'Warning', info: 'Info' }[level]} ${message}`,
      );
  });

  it('says at the finding and in the table what was ignored and what was changed', () => {
    const text = svgText(ruled);
    expect(text).toMatch(
      /Set aside: ignored until 2026-12-31 \(Eased at this maker\), was stop\. The back inseam is/,
    );
    expect(text).toMatch(/inseam: front, back [\d. +]+ ±1\.0 ignored/);
    expect(text).toContain('set aside by the rules');
    expect(svgText(plain)).toMatch(/inseam: front, back [\d. +]+ ±1\.0 OFF/);
    expect(text).toContain('STOP by the rules, was warning. The notch of Back');
  });

  it('says beside its verdict that stops were set aside', async () => {
    const codes = [
      ...new Set(plain.result.findings.filter(({ level }) => level === 'stop').map(({ code }) => code)),
    ];
    const ignore = codes.map((code) => ({ code, until: '2026-12-31', reason: 'agreed' }));
    const check = await made({ rules: { severities: [], ignore } }, pattern);
    expect(check.result.sewable).toBe(true);
    expect(svgText(check)).toMatch(/Sewable by its rules: \d+ stops? w(as|ere) set aside or lowered/);
  });
});

describe('a file of which little is known', () => {
  it('is drawn without measures where it does not say its unit', async () => {
    const text = FAULTY.toString('latin1').replace('Units:METRIC', 'Units:');
    const check = await made({}, text);
    const svg = svgText(check);
    expect(svg).toContain('Not judged: the file does not say its unit');
    expect(svg).toContain('Unit unknown: the shapes are drawn to fit, without measures.');
    expect(svg).not.toMatch(/Pieces 1:|\d mm\b/);
    expect(svg).toContain('Front not measured');
    expect(check.result.findings.map(({ code }) => code)).toEqual(['UNITS_MISSING']);
  });

  it('says in one paragraph that nothing could be read', async () => {
    const svg = svgText(await made({}, 'words'));
    expect(svg).toContain(
      'This file could not be read as a pattern: nothing is drawn and nothing was judged.',
    );
    expect(svg).toContain('Not judged: no pattern could be read');
    expect(svg).not.toMatch(/Pieces 1:|cut line/);
  });
});

// Outside reader: pdftotext of poppler.
describeWith(POPPLER, 'the sheet of a check as PDF', () => {
  it('holds the same words', async () => {
    const check = await made({ correct: ['INSEAM_MISMATCH'] }, LONG);
    const folder = mkdtempSync(join(tmpdir(), 'check-sheet-'));
    const path = join(folder, 'sheet.pdf');
    writeFileSync(path, bytesOf(check, 'sheet.pdf'));
    const text = execFileSync('pdftotext', ['-layout', path, '-'], { encoding: 'utf8' }).replace(/\s+/g, ' ');
    rmSync(folder, { recursive: true });
    for (const part of [
      'summer trouser',
      'Style id style-77',
      'Reference plm 4711',
      sha256(Buffer.from(LONG)).slice(0, 12),
      sha256(bytesOf(check, 'corrected.dxf')).slice(0, 12),
      'Rules maison-a, version 12',
      'Judged on 2026-11-28',
      'Corrected: what was moved or eased (mm)',
      'Ease in the back inseam by',
      'fixed: fits with its ease',
    ])
      expect(text).toContain(part);
  });
});
