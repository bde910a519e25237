import { createConnection } from 'node:net';
import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it, jest } from '@jest/globals';
import { numbersFrom } from '../../test/support/random-numbers.js';
import { IS_NIGHT, SEED } from '../../test/support/seed.js';
import { startTestApi, type TestApi } from '../../test/support/test-api.js';

jest.setTimeout(120_000);

const FILE_BYTES_MAX = 200_000;
const JSON_BYTES_MAX = 100_000;
const LARGE_BYTES = 200 * 2 ** 20;
const BOUNDARY = 'b0undary';
const DXF = '0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n';

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi({
    environment: {
      FORKLINE_PATTERN_BYTES_MAX: String(FILE_BYTES_MAX),
      FORKLINE_REQUEST_BYTES_MAX: String(JSON_BYTES_MAX),
    },
  });
});
afterAll(() => api.close());

type Content = string | Buffer;

function part(headers: string, content: Content = ''): Buffer {
  return Buffer.concat([
    Buffer.from(`--${BOUNDARY}\r\n${headers}\r\n\r\n`, 'latin1'),
    Buffer.from(content as string, 'latin1'),
    Buffer.from('\r\n'),
  ]);
}

const named = (name: string, content: Content = '', more = ''): Buffer =>
  part(`Content-Disposition: form-data; name="${name}"${more}`, content);
const file = (content: Content = DXF, name = 'a.dxf', field = 'file'): Buffer =>
  named(field, content, `; filename="${name}"`);
const form = (...parts: readonly Buffer[]): Buffer =>
  Buffer.concat([...parts, Buffer.from(`--${BOUNDARY}--\r\n`)]);

async function post(
  body: Buffer,
  headers: Readonly<Record<string, string>> = {},
): Promise<{ status: number; type: string; text: string }> {
  const response = await fetch(`${api.url}/v1/checks`, {
    method: 'POST',
    headers: {
      ...api.shop.as,
      'content-type': `multipart/form-data; boundary=${BOUNDARY}`,
      ...headers,
    },
    body: new Uint8Array(body),
  });
  return {
    status: response.status,
    type: response.headers.get('content-type') ?? '',
    text: await response.text(),
  };
}

/** Refused in words: never a fault of ours, never where in our code it was found. */
function expectRefusal({ status, type, text }: Awaited<ReturnType<typeof post>>): void {
  expect([status, text]).toEqual([expect.any(Number), expect.not.stringMatching(/node_modules|\.js:\d/)]);
  expect(status).toBeGreaterThanOrEqual(400);
  expect(status).toBeLessThan(500);
  expect(type).toMatch(/^application\/problem\+json/);
  expect((JSON.parse(text) as { detail: string }).detail).not.toBe('');
}

describe('forms that no browser sends', () => {
  it.each<[string, () => Buffer, number]>([
    ['nothing in it', () => form(), 422],
    ['no byte at all', () => Buffer.alloc(0), 400],
    ['an empty file', () => form(file('')), 422],
    ['a file of blanks', () => form(file('  \n \t ')), 422],
    ['the file under another name', () => form(file(DXF, 'a.dxf', 'pattern')), 422],
    ['two files', () => form(file(), file()), 422],
    ['a picture', () => form(file('\x89PNG\r\n\x1a\n\0\0\0')), 422],
    ['a zip archive', () => form(file('PK\x03\x04')), 422],
    ['a gzip file', () => form(file(gzipSync(DXF))), 422],
    ['a binary DXF', () => form(file('AutoCAD Binary DXF\r\n\x1a\0')), 422],
    ['JSON for a file', () => form(file('{"dxf": "0"}')), 422],
    ['settings that are no JSON', () => form(file(), named('settings', 'units: metric')), 422],
    ['settings as a binary file', () => form(file(), file('\0\x01\x02', 's.json', 'settings')), 422],
    ['settings twice', () => form(file(), named('settings', '{}'), named('settings', '{}')), 422],
    ['settings of the wrong kind', () => form(file(), named('settings', '[1]')), 422],
    ['settings too large', () => form(file(), named('settings', ' '.repeat(300_000))), 413],
    ['a settings file too large', () => form(file(), file(' '.repeat(300_000), 's.json', 'settings')), 413],
    ['a file too large', () => form(file('9'.repeat(FILE_BYTES_MAX + 1))), 413],
    ['too many parts', () => form(file(), ...Array.from({ length: 31 }, (_, i) => named(`p${i}`))), 413],
    ['too many files', () => form(...Array.from({ length: 31 }, (_, i) => file('{}', 'a', `f${i}`))), 413],
    ['a name without end', () => form(named('x'.repeat(5_000), 'y'), file()), 413],
    ['a name with brackets', () => form(named('settings[a][b]', 'y'), file()), 422],
    [
      'names of built-in things',
      () => form(named('__proto__', '{}'), named('constructor', '1'), file()),
      422,
    ],
    ['a part without a name', () => form(part('Content-Disposition: form-data', 'x'), file()), 400],
    ['a part without headers', () => form(part('', 'x'), file()), 400],
    ['a header without end', () => form(part(`X: ${'y'.repeat(100_000)}`, 'x')), 400],
    ['a null in a name', () => form(named('a\0b', 'x'), file()), 400],
    ['no end', () => Buffer.concat([file(), named('name', 'x')]), 400],
    ['an end in the middle of a header', () => file().subarray(0, 40), 400],
  ])('%s: refused', async (_, body, status) => {
    const answer = await post(body());
    expectRefusal(answer);
    expect(answer.status).toBe(status);
  });

  it.each<[string, string]>([
    ['no boundary', 'multipart/form-data'],
    ['an empty boundary', 'multipart/form-data; boundary='],
    ['another boundary', 'multipart/form-data; boundary=other'],
    ['a boundary without end', `multipart/form-data; boundary=${'x'.repeat(4_000)}`],
    ['another kind of form', `multipart/mixed; boundary=${BOUNDARY}`],
    ['a form of a link', 'application/x-www-form-urlencoded'],
    ['a kind that is none', ';;;'],
  ])('%s: refused', async (_, type) => {
    expectRefusal(await post(form(file()), { 'content-type': type }));
  });

  it('says that it is the name of a part that is wrong, whatever was sent under it', async () => {
    const { text } = await post(form(file('9'.repeat(150_000), 'a.dxf', 'pattern'), named('correct', 'A_B')));
    const { errors } = JSON.parse(text) as { errors: { pointer: string; code: string; detail: string }[] };
    expect(errors.map(({ pointer, code }) => [pointer, code]).sort()).toEqual([
      ['/correct', 'NOT_JSON'],
      ['/file', 'MISSING'],
      ['/pattern', 'UNKNOWN_FIELD'],
    ]);
    expect(errors.find(({ pointer }) => pointer === '/correct')?.detail).toMatch(
      /correct is JSON: a list is/,
    );
  });

  it('takes a file by any name and of any declared kind, and shows the name as text', async () => {
    for (const name of [
      '../../etc/passwd',
      'C:\\x\\a.dxf',
      '\xff\xfe',
      'a'.repeat(300),
      '<script>',
      '%00.dxf',
    ]) {
      const typed = part(
        `Content-Disposition: form-data; name="file"; filename="${name}"\r\nContent-Type: image/png`,
        DXF,
      );
      const { status, text } = await post(form(typed));
      expect([name, status]).toEqual([name, 202]);
      expect((JSON.parse(text) as { name: string }).name).not.toMatch(/[/\\]/);
    }
  });

  it('unpacks nothing: a body that says it is packed is refused, however little it is', async () => {
    const bomb = gzipSync(Buffer.alloc(LARGE_BYTES, ' '));
    expectRefusal(await post(bomb, { 'content-encoding': 'gzip' }));
    const json = await post(bomb, { 'content-encoding': 'gzip', 'content-type': 'application/json' });
    expect(json.status).toBe(415);
  });

  it(`whatever is changed in a form, seed ${SEED}`, async () => {
    const next = numbersFrom(SEED);
    const whole = form(
      file(),
      named('settings', '{"units": "metric"}'),
      named('correct', '["FORK_ANGLE"]'),
      named('name', 'x'),
    );
    for (let i = 0; i < (IS_NIGHT ? 1_000 : 60); i++) {
      const answer = await post(mutatedBytes(whole, next));
      if (answer.status === 202) continue;
      expectRefusal(answer);
    }
    const failed = api
      .log()
      .split('\n')
      .filter((line) => line.includes('"level":50'));
    expect(failed).toEqual([]);
  });
});

function mutatedBytes(whole: Buffer, next: () => number): Buffer {
  let bytes = Buffer.from(whole);
  const times = 1 + Math.floor(3 * next());
  for (let i = 0; i < times; i++) {
    const at = Math.floor(next() * bytes.length);
    const span = Math.floor(next() * 60);
    const [head, middle, tail] = [
      bytes.subarray(0, at),
      bytes.subarray(at, at + span),
      bytes.subarray(at + span),
    ];
    const ways = [
      () => [head, Buffer.from([Math.floor(256 * next())]), bytes.subarray(at + 1)],
      () => [head, tail],
      () => [head, middle, middle, tail],
      () => [head],
      () => [tail, head],
      () => [head, Buffer.from(`\r\n--${BOUNDARY}\r\n`), middle, tail],
    ];
    bytes = Buffer.concat(ways[Math.floor(next() * ways.length)]());
  }
  return bytes;
}

describe('200 MB', () => {
  /** What the service answers to the beginning of a request whose rest is never sent. */
  function answerToBeginning(headers: readonly string[], beginning: Buffer): Promise<string> {
    const { hostname, port } = new URL(api.url);
    return new Promise((resolve, reject) => {
      const socket = createConnection({ host: hostname, port: Number(port) });
      let said = '';
      socket.setEncoding('utf8');
      socket.on('data', (text: string) => {
        said += text;
        // A problem ends with its brace; waiting for the end of the connection would be waiting for the rest.
        if (/\r\n\r\n[^]*\}/.test(said)) socket.destroy();
      });
      socket.on('error', reject);
      socket.on('close', () => resolve(said));
      socket.write(
        [
          `POST /v1/checks HTTP/1.1`,
          `Host: ${hostname}`,
          `Authorization: ${api.shop.as.authorization}`,
          ...headers,
          '',
          '',
        ].join('\r\n'),
      );
      socket.write(beginning);
    });
  }

  it('of a form are refused by what the request says of itself, before they are sent', async () => {
    const said = await answerToBeginning(
      [`Content-Type: multipart/form-data; boundary=${BOUNDARY}`, `Content-Length: ${LARGE_BYTES}`],
      file().subarray(0, 20),
    );
    expect(said).toMatch(/^HTTP\/1\.1 413 /);
    expect(said).toContain(`The form is too large: ${LARGE_BYTES} bytes`);
    expect(said).toContain('its file of at most 200000');
  });

  it('of JSON are refused by their first bytes past the limit, whatever length is given', async () => {
    const beginning = Buffer.from(`{"dxf": "${'9'.repeat(JSON_BYTES_MAX)}`);
    const length = await answerToBeginning(
      ['Content-Type: application/json', `Content-Length: ${LARGE_BYTES}`],
      beginning,
    );
    expect(length).toMatch(/^HTTP\/1\.1 413 [^]*at most 100000 bytes of JSON/);
    const chunk = Buffer.concat([
      Buffer.from(`${beginning.length.toString(16)}\r\n`),
      beginning,
      Buffer.from('\r\n'),
    ]);
    const chunked = await answerToBeginning(
      ['Content-Type: application/json', 'Transfer-Encoding: chunked'],
      chunk,
    );
    expect(chunked).toMatch(/^HTTP\/1\.1 413 /);
  });

  it('of a form that does not say how long it is are refused by their first bytes past what a form may hold', async () => {
    const beginning = file('9'.repeat(FILE_BYTES_MAX + 5 * 2 ** 20));
    const chunk = Buffer.concat([
      Buffer.from(`${beginning.length.toString(16)}\r\n`),
      beginning,
      Buffer.from('\r\n'),
    ]);
    const said = await answerToBeginning(
      [`Content-Type: multipart/form-data; boundary=${BOUNDARY}`, 'Transfer-Encoding: chunked'],
      chunk,
    );
    expect(said).toMatch(/^HTTP\/1\.1 413 /);
  });

  it('leave nothing in the store, and the service answers on', async () => {
    let count = 0;
    for await (const _ of api.store.list(new Date(Date.now() + 86_400_000))) count += 1;
    expect((await post(form(file('9'.repeat(FILE_BYTES_MAX + 1))))).status).toBe(413);
    let after = 0;
    for await (const _ of api.store.list(new Date(Date.now() + 86_400_000))) after += 1;
    expect(after).toBe(count);
    expect((await post(form(file()))).status).toBe(202);
  });
});
