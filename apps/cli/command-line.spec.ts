import { readdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { describe, expect, it, jest } from '@jest/globals';
import { forkline, inFolder, type Ended } from '../../test/support/command-line.js';

// Every call is a process of its own, and a busy machine takes seconds to start one.
jest.setTimeout(60_000);

describe('forkline', () => {
  it.each([
    [['--help'], /Usage: forkline VERB[^]*population BODIES\.csv --out REPORT\.json/],
    [['draft', '--help'], /Usage: forkline draft REQUEST\.json --out DIR[^]*Exit: 0/],
    [['population', '--threads', 'many', '-h'], /--inside-leg WAY/],
    [['demo', '--help'], /demo-out/],
  ])('explains itself on %j', async (words, text) => {
    const ended = await forkline(words, '.');
    expect(ended).toMatchObject({ code: 0, err: '' });
    expect(ended.out).toMatch(text);
  });

  it.each([
    [[], /A verb is missing[^]*Usage/],
    [['drat'], /"drat" is not a verb\. Did you mean draft\?/],
    [['draft', 'a.json', '--ot', 'x'], /--ot is not an option of draft\. Did you mean --out\?/],
    [['draft', '--out', 'x'], /REQUEST\.json is missing/],
    [['draft', 'a.json', 'b.json', '--out', 'x'], /"b\.json" is one word too many/],
    [['draft', 'a.json', '--out'], /--out needs a value/],
    [['draft', 'a.json', '--out', 'x', '--out', 'y'], /--out stands 2 times/],
    [['draft', 'nowhere.json', '--out', 'x'], /nowhere\.json: there is no such file/],
    [
      ['population', 'a.csv', '--out', 'r', '--ease', 'regula'],
      /may be close, regular, easy, full\. Did you mean regular\?/,
    ],
    [
      ['population', 'a.csv', '--out', 'r', '--threads', '0'],
      /--threads is "0"; it may be a whole number from 1 to 64/,
    ],
    [['population', 'a.csv', '--out', './a.csv'], /--out and BODIES\.csv are the same file/],
    [['population', 'nowhere.csv', '--out', 'r'], /nowhere\.csv: there is no such file/],
  ])('answers 2 to %j, says what was wrong and writes nothing', async (words, text) => {
    await inFolder(async (dir) => {
      const ended = await forkline(words, dir);
      expect(ended).toMatchObject({ code: 2, out: '' });
      expect(ended.err).toMatch(text);
      expect(await readdir(dir)).toEqual([]);
    });
  });

  it('says everything that is wrong with a call at once', async () => {
    const { err } = await forkline(['draft', '--ot', '--out'], '.');
    expect(err).toMatch(/--ot is not.*\n--out needs.*\n.*is missing/);
  });
});

describe('forkline draft with a wrong request', () => {
  const measures = {
    waistGirth: 740,
    hipGirth: 1000,
    totalCrotchLength: 720,
    waistHeight: 1040,
    insideLegLength: 765,
  };
  const request = (change: Record<string, unknown>) =>
    JSON.stringify({
      body: { ref: 'b', sex: 'female', measures: { ...measures, ...change } },
      block: 'from-body',
    });

  it.each<[string, string, readonly string[]]>([
    [
      'a waist girth in inches',
      request({ waistGirth: 29 }),
      ['/body/measures/waistGirth', 'Found: 29 mm', 'Allowed: 480 to 1800 mm', 'send "29 in"'],
    ],
    [
      'a missing measure',
      request({ hipGirth: undefined }),
      ['/body/measures/hipGirth', 'Found: nothing', 'Allowed: 600 to 1900 mm', 'Add it'],
    ],
    ['text where a number belongs', request({ waistGirth: 'wide' }), ['Found: "wide"', '"11 1/4 in"']],
    [
      'a number that is none',
      '{"body": NaN}',
      ['/body: At line 1, column 10 NaN is not JSON.', 'JSON has no NaN'],
    ],
    ['a number too large', request({ waistGirth: 1e308 }), ['Found: 1e+308', 'Allowed: 480 to 1800 mm']],
    [
      'an unknown field',
      request({ waistgirt: 1 }),
      ['/body/measures/waistgirt', 'Did you mean "waistGirth"?'],
    ],
    ['a text that steers the terminal', request({ '\u001b[2J': 1 }), ['/body/measures/\\u001b[2J']],
    ['no JSON at all', 'waist: 74', ['At line 1, column 1', 'JSON (RFC 8259)']],
    ['bytes that are not UTF-8', Buffer.from([0x22, 0xff, 0x22]).toString('latin1'), ['not UTF-8']],
    ['too many bytes', ' '.repeat(2 * 1024 * 1024 + 1), ['2097153 bytes', 'at most 2097152']],
  ])('answers 2 to %s on one line and writes nothing', async (_, text, words) => {
    await inFolder(async (dir) => {
      const { ended, names } = await draft(dir, text);
      expect(ended).toMatchObject({ code: 2, out: '' });
      expect(ended.err.trimEnd().split('\n')).toHaveLength(1);
      for (const word of words) expect(ended.err).toContain(word);
      expect(names).toEqual(['request.json']);
    });
  });

  it('says everything at once, a line each', async () => {
    await inFolder(async (dir) => {
      const { ended } = await draft(
        dir,
        request({ waistGirth: 29, hipGirth: undefined, kneeHeight: '45', shoe: 41 }),
      );
      const pointers = ended.err
        .trimEnd()
        .split('\n')
        .map((line) => line.split(':')[0]);
      expect(pointers.sort()).toEqual(
        ['hipGirth', 'kneeHeight', 'shoe', 'waistGirth'].map((name) => `/body/measures/${name}`),
      );
    });
  });

  it('refuses a folder that is a file', async () => {
    await inFolder(async (dir) => {
      await writeFile(join(dir, 'out'), '');
      const { ended } = await draft(dir, request({}));
      expect(ended.code).toBe(2);
      expect(ended.err).toMatch(/--out out: .*out is a file, and a folder is needed there/);
    });
  });

  it('does not write over the request it reads', async () => {
    await inFolder(async (dir) => {
      await writeFile(join(dir, 'request.json'), request({}));
      const ended = await forkline(['draft', 'request.json', '--out', '.'], dir);
      expect(ended.code).toBe(2);
      expect(ended.err).toMatch(/would be overwritten/);
    });
  });
});

describe('forkline population with a wrong table', () => {
  it('names every wrong column at once', async () => {
    await inFolder(async (dir) => {
      await writeFile(join(dir, 'bodies.csv'), 'ref,sex,waistgirth,hipGirth,hipGirth,shoe\n');
      const ended = await forkline(['population', 'bodies.csv', '--out', 'r.json'], dir);
      expect(ended.code).toBe(2);
      expect(ended.err).toMatch(/"waistgirth" is not a column that is known; did you mean waistGirth\?/);
      expect(ended.err).toMatch(
        /"hipGirth" stands 2 times[^]*"shoe" is not a column[^]*insideLegLength is missing/,
      );
      expect(await readdir(dir)).toEqual(['bodies.csv']);
    });
  });
});

async function draft(dir: string, text: string): Promise<{ ended: Ended; names: string[] }> {
  await writeFile(join(dir, 'request.json'), Buffer.from(text, text.includes('ÿ') ? 'latin1' : 'utf8'));
  const ended = await forkline(['draft', 'request.json', '--out', 'out'], dir);
  return { ended, names: await readdir(dir) };
}
