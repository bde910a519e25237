import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from '@jest/globals';
import { CORRECTION_CODES, FINDING_CODES, FINDING_SUBJECTS, TOLERANCE_NAMES } from './index.js';

// The list is held against the text of the sources, where each code is written out once or several times.
const LIBS = join(import.meta.dirname, '../../../libs');

/** Where findings of a check are made. */
const SOURCES: readonly (readonly [folder: string, files: RegExp])[] = [
  ['checking', /^(?!finding-codes).*/],
  ['interchange', /^(dxf-(?!writer)|rul-reader|unfold|rings)/],
  ['truing', /^report-findings/],
  ['judging', /^apply-rules/],
  ['pattern', /^(check-|read-outline)/],
];

/** In those sources, and no findings: what a throw is called. */
const NO_FINDINGS = new Set<string>([]);

const texts = SOURCES.flatMap(([folder, files]) =>
  readdirSync(join(LIBS, folder))
    .filter((name) => name.endsWith('.ts') && !/\.(spec|fixture)\.ts$/.test(name) && files.test(name))
    .map((name) => ({
      name: `libs/${folder}/${name}`,
      text: readFileSync(join(LIBS, folder, name), 'utf8'),
    })),
);
const written = texts.flatMap(({ name, text }) =>
  [...text.matchAll(/'([A-Z]{2,}[A-Z0-9]*(?:_[A-Z0-9]+)+)'/g)]
    .map(([, code]) => ({ code, name }))
    .filter(({ code }) => !NO_FINDINGS.has(code)),
);

describe('the list of finding codes', () => {
  it('is looked for in sources that are there', () => {
    expect(texts.length).toBeGreaterThan(40);
    expect(written.length).toBeGreaterThan(120);
  });

  it('has every code that a check can give: add what is named here to libs/checking/finding-codes.ts', () => {
    const missing = written.filter(({ code }) => !Object.hasOwn(FINDING_CODES, code));
    expect(missing.map(({ code, name }) => `${code} of ${name}`)).toEqual([]);
  });

  it('has no code that no check gives', () => {
    const known = new Set(written.map(({ code }) => code));
    expect(Object.keys(FINDING_CODES).filter((code) => !known.has(code))).toEqual([]);
  });

  it('gives each the levels that stand beside it in the source', () => {
    const beside = texts.flatMap(({ text }) => [
      ...text.matchAll(/(?:code: )?'([A-Z]+(?:_[A-Z0-9]+)+)',\s*(?:level: )?'(info|warning|stop)',/g),
    ]);
    expect(beside.length).toBeGreaterThan(60);
    const wrong = beside.filter(
      ([, code, level]) =>
        Object.hasOwn(FINDING_CODES, code) && !FINDING_CODES[code].levels.some((one) => one === level),
    );
    expect(wrong.map(([, code, level]) => `${code}: ${level}`)).toEqual([]);
  });

  it('names as correctable what the corrections are asked for by', () => {
    const text = readFileSync(join(LIBS, 'checking/offered-corrections.ts'), 'utf8');
    const head = text.slice(text.indexOf('const CORRECTED_BY'), text.indexOf('NOT_TRUED'));
    const asked = [...head.matchAll(/'([A-Z]+(?:_[A-Z]+)+)'/g)].map(([, code]) => code);
    expect([...CORRECTION_CODES].sort()).toEqual([...new Set(asked)].sort());
  });

  it('has a line, a subject and known tolerances for each', () => {
    for (const [code, { says, about, levels, tolerances = [] }] of Object.entries(FINDING_CODES)) {
      expect([code, says]).toEqual([code, expect.stringMatching(/^[^A-Z].{10,90}[^.]$/)]);
      expect(FINDING_SUBJECTS).toContain(about);
      expect(levels.length).toBeGreaterThan(0);
      for (const name of tolerances) expect(TOLERANCE_NAMES).toContain(name);
    }
  });
});
