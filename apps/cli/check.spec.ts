import { mkdir, open, readdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { Resvg } from '@resvg/resvg-js';
import { describe, expect, it, jest } from '@jest/globals';
import { forkline, inFolder, type Ended } from '../../test/support/command-line.js';
import { BLOCK } from '../../test/support/draft-requests.js';
import { gradeTable, withGradeRules } from '../../test/support/grade-texts.js';
import { readPdf } from '../../test/support/read-pdf.js';

// Every call is a process of its own, and a busy machine takes seconds to start one.
jest.setTimeout(120_000);

const FAULTY = readFile(new URL('../../../examples/faulty-trouser.dxf', import.meta.url));
const CORNER = 'CENTRE_BACK_WAIST_ANGLE';

interface Report {
  readonly sewable: boolean;
  readonly judged: string;
  readonly file: { readonly units: string };
  readonly findings: readonly {
    readonly code: string;
    readonly level: string;
    readonly correction: string | null;
  }[];
  readonly corrections: readonly { readonly code: string }[];
  readonly moved: readonly unknown[];
}

/** Check the example, changed in this way, with these options. */
async function check(
  dir: string,
  options: readonly string[] = [],
  change: (text: string) => string = (text) => text,
): Promise<{ ended: Ended; report: Report | undefined }> {
  await writeFile(join(dir, 'a.dxf'), change((await FAULTY).toString('latin1')), 'latin1');
  const ended = await forkline(['check', 'a.dxf', '--out', 'r.json', ...options], dir);
  const isThere = (await readdir(dir)).includes('r.json');
  const report = isThere ? (JSON.parse(await readFile(join(dir, 'r.json'), 'utf8')) as Report) : undefined;
  return { ended, report };
}

describe('forkline check', () => {
  it('answers 1 to a pattern with a stop, says each finding on a line, and writes the report', async () => {
    await inFolder(async (dir) => {
      const { ended, report } = await check(dir);
      expect(ended.code).toBe(1);
      expect(report).toMatchObject({
        sewable: false,
        judged: 'trouser',
        file: { units: 'metric' },
        moved: [],
      });
      const lines = ended.err.trimEnd().split('\n');
      expect(lines).toHaveLength(report?.findings.length ?? 0);
      expect(lines[0]).toMatch(/^1 stop CENTRE_BACK_WAIST_ANGLE \(BACK, .*\): .*82\.3 degrees.* Do: /);
      expect(ended.out).toMatch(
        /Can be corrected: CENTRE_BACK_WAIST_ANGLE: .*\n.*Not sewable as it stands; 1 finding in r\.json\./,
      );
    });
  });

  it('corrects what is asked for, leaves the original as it is, and finds the corrected file clean', async () => {
    await inFolder(async (dir) => {
      const { ended, report } = await check(dir, ['--correct', CORNER.toLowerCase(), '--corrected', 'b.dxf']);
      expect([ended.code, report?.sewable]).toEqual([0, true]);
      expect(ended.out).toMatch(/^Moved: .*mm\.$/m);
      expect(report?.moved.length).toBeGreaterThan(0);
      expect(await readFile(join(dir, 'a.dxf'))).toEqual(await FAULTY);
      const again = await forkline(['check', 'b.dxf', '--out', 'again.json'], dir);
      expect(again.code).toBe(0);
      expect(again.err).not.toMatch(/ stop /);
    });
  });

  it('holds a grade rule table against the pattern, and judges a size that only the table has', async () => {
    await inFolder(async (dir) => {
      const ruled = (text: string): string =>
        withGradeRules(text, ({ layer }) => (layer === '2' ? '1' : undefined));
      const table = gradeTable(['MTM', 'L'], 'MTM', { 1: [[0, 0], [6, 2]] }); // prettier-ignore
      await writeFile(join(dir, 't.rul'), table);
      const codes = async (...options: string[]): Promise<string[] | undefined> =>
        (await check(dir, options, ruled)).report?.findings.map(({ code }) => code);
      expect(await codes()).toContain('GRADE_TABLE_NOT_SENT');
      expect(await codes('--grade-rules', 't.rul')).not.toContain('GRADE_TABLE_NOT_SENT');
      expect(await codes('--grade-rules', 't.rul', '--size', 'L')).toEqual(
        expect.arrayContaining(['GRADED_BY_RULES', CORNER]),
      );
      expect(await codes('--grade-rules', 't.rul', '--size', 'XL')).toContain('SIZE_UNKNOWN');
    });
  });

  it('says that a code is not offered, and that nothing was written', async () => {
    await inFolder(async (dir) => {
      const { ended, report } = await check(dir, ['--correct', 'INSEAM_MISMATCH', '--corrected', 'b.dxf']);
      expect([ended.code, report?.sewable]).toEqual([1, false]);
      expect(ended.err).toMatch(/CORRECTION_NOT_OFFERED: INSEAM_MISMATCH is no correction/);
      expect(ended.out).toMatch(/Nothing was corrected, and b\.dxf was not written\./);
      expect((await readdir(dir)).sort()).toEqual(['a.dxf', 'r.json']);
    });
  });

  it('draws the sheet as SVG, PNG or PDF, the same each time', async () => {
    await inFolder(async (dir) => {
      for (const name of ['s.svg', 's.png', 's.pdf', 't.pdf']) await check(dir, ['--sheet', name]);
      expect(() => new Resvg('')).toThrow();
      const drawn = new Resvg(await readFile(join(dir, 's.svg'), 'utf8'), {
        font: { loadSystemFonts: false },
      });
      expect(drawn.width / drawn.height).toBeCloseTo(420 / 297, 2);
      expect((await readFile(join(dir, 's.png'))).subarray(1, 4).toString()).toBe('PNG');
      const pdf = await readFile(join(dir, 's.pdf'));
      expect((await readPdf(pdf)).pages[0].texts.join(' ')).toMatch(/Not sewable as it stands/);
      expect(await readFile(join(dir, 't.pdf'))).toEqual(pdf);
    });
  });

  it('holds a pattern to the settings it is given', async () => {
    await inFolder(async (dir) => {
      await writeFile(join(dir, 's.json'), JSON.stringify({ tolerances: { square: 10 } }));
      const { ended, report } = await check(dir, ['--settings', 's.json']);
      expect([ended.code, report?.sewable]).toEqual([0, true]);
    });
  });

  it('asks for the unit where the file does not say it, and takes it from the command line', async () => {
    const unsaid = (text: string): string => text.replace(/Units:METRIC/g, 'Note:METRIC');
    await inFolder(async (dir) => {
      const asked = await check(dir, [], unsaid);
      expect([asked.ended.code, asked.report?.judged]).toEqual([1, 'nothing']);
      expect(asked.ended.err).toMatch(/UNITS_MISSING/);
      const told = await check(dir, ['--units', 'metric'], unsaid);
      expect(told.report?.judged).toBe('trouser');
    });
  });

  it('judges a block as JSON', async () => {
    await inFolder(async (dir) => {
      await writeFile(join(dir, 'block.json'), JSON.stringify(BLOCK));
      const ended = await forkline(['check', 'block.json', '--out', 'r.json'], dir);
      expect([0, 1]).toContain(ended.code);
      expect(ended.out).toMatch(/[Ss]ewable.*; \d+ findings in r\.json/);
      expect(JSON.parse(await readFile(join(dir, 'r.json'), 'utf8'))).toHaveProperty('seams');
    });
  });

  it('answers 1 to a DXF that holds no pattern, in words', async () => {
    await inFolder(async (dir) => {
      const { ended, report } = await check(dir, ['--sheet', 's.svg'], () => '0\nSECTION\nDear colleague,');
      expect([ended.code, report?.judged]).toEqual([1, 'nothing']);
      expect(ended.err).toMatch(/^1 stop DXF_/);
      expect(ended.out).toMatch(/; \d findings in r\.json\./);
    });
  });

  it('answers 2 to a file that is plainly no DXF, by what it is, and shows none of its bytes', async () => {
    await inFolder(async (dir) => {
      const files = {
        'a.dxf': 'Dear colleague.',
        'b.dxf': Buffer.from(`\ufeff${'0\nSECTION\n'}`, 'utf16le'),
      };
      const words = {
        'a.dxf': /a\.dxf is text that begins with no group code/,
        'b.dxf': /b\.dxf is text in UTF-16/,
      };
      for (const [name, content] of Object.entries(files)) {
        await writeFile(join(dir, name), content);
        const ended = await forkline(['check', name, '--out', 'r.json'], dir);
        expect([ended.code, ended.out]).toEqual([2, '']);
        expect(ended.err).toMatch(words[name as keyof typeof words]);
        expect(ended.err).not.toMatch(/[^\x20-\x7e\n]/);
      }
      expect((await readdir(dir)).sort()).toEqual(['a.dxf', 'b.dxf']);
    });
  });
});

describe('forkline check called wrongly', () => {
  it.each<[string, readonly string[], RegExp]>([
    [
      'a sheet of another kind',
      ['--sheet', 's.gif'],
      /--sheet s\.gif: a sheet is written as \.svg, \.png or \.pdf/,
    ],
    ['codes without a file', ['--correct', CORNER], /--correct and --corrected go together/],
    ['a file without codes', ['--corrected', 'b.dxf'], /--correct and --corrected go together/],
    ['no codes at all', ['--correct', ' , ', '--corrected', 'b.dxf'], /--correct/],
    [
      'a correction that no check offers',
      ['--correct', 'INSEAM_MISMACH,NOTCH_OFF', '--corrected', 'b.dxf'],
      /INSEAM_MISMACH: no check offers to correct it\. Did you mean INSEAM_MISMATCH\?\n--correct NOTCH_OFF: .* FORK_ANGLE/,
    ],
    ['a unit that is none', ['--units', 'furlong'], /--units is "furlong"; it may be metric, english, cm/],
    ['settings that are not there', ['--settings', 'no.json'], /no\.json: there is no such file/],
    ['the report over the pattern', ['--out', './a.dxf'], /--out/],
    ['the correction over the pattern', ['--correct', CORNER, '--corrected', './a.dxf'], /--corrected/],
    [
      'the sheet over the report',
      ['--sheet', './r.svg', '--corrected', 'r.svg', '--correct', CORNER],
      /same file/,
    ],
  ])('answers 2 to %s and writes nothing', async (_, options, words) => {
    await inFolder(async (dir) => {
      await writeFile(join(dir, 'a.dxf'), await FAULTY);
      const out = options.includes('--out') ? [] : ['--out', 'r.json'];
      const ended = await forkline(['check', 'a.dxf', ...out, ...options], dir);
      expect({ code: ended.code, out: ended.out }).toEqual({ code: 2, out: '' });
      expect(ended.err).toMatch(words);
      expect(await readdir(dir)).toEqual(['a.dxf']);
      expect(await readFile(join(dir, 'a.dxf'))).toEqual(await FAULTY);
    });
  });

  it('answers 2 to options that a block has no use for, instead of passing over them', async () => {
    await inFolder(async (dir) => {
      await writeFile(join(dir, 'block.json'), JSON.stringify(BLOCK));
      const ended = await forkline(['check', 'block.json', '--out', 'r.json', '--sheet', 's.pdf'], dir);
      expect([ended.code, await readdir(dir)]).toEqual([2, ['block.json']]);
      expect(ended.err).toMatch(/--sheet goes with a DXF; block\.json is a block as JSON/);
    });
  });

  it('says all that is wrong with the settings at once', async () => {
    await inFolder(async (dir) => {
      await writeFile(join(dir, 's.json'), '{"units": "furlong", "tolerances": {"corner": 0}, "x": 1}');
      const { ended } = await check(dir, ['--settings', 's.json']);
      expect(ended.code).toBe(2);
      expect(ended.err.trimEnd().split('\n')).toHaveLength(3);
      for (const pointer of ['/units', '/tolerances/corner', '/x']) expect(ended.err).toContain(pointer);
    });
  });

  it('refuses 200 MB on one line before it reads them, and a folder', async () => {
    await inFolder(async (dir) => {
      const file = await open(join(dir, 'a.dxf'), 'w');
      const megabyte = Buffer.alloc(2 ** 20, '9');
      for (let i = 0; i < 200; i++) await file.write(megabyte);
      await file.close();
      await mkdir(join(dir, 'b.dxf'));
      // Room for the program, and not for the file.
      const room = { NODE_OPTIONS: '--max-old-space-size=64' };
      const large = await forkline(['check', 'a.dxf', '--out', 'r.json'], dir, room);
      expect([large.code, large.out]).toEqual([2, '']);
      expect(large.err).toMatch(/209715200 bytes; at most 33554432 are read/);
      expect((await forkline(['check', 'b.dxf', '--out', 'r.json'], dir)).code).toBe(2);
      expect((await readdir(dir)).sort()).toEqual(['a.dxf', 'b.dxf']);
    });
  });
});
