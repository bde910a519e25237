import { gzipSync } from 'node:zlib';
import { describe, expect, it } from '@jest/globals';
import { dxfText, notDxf, readDxf } from './index.js';

const DXF = '0\r\nSECTION\r\n2\r\nENTITIES\r\n0\r\nENDSEC\r\n0\r\nEOF\r\n';
const bytes = (text: string, encoding: BufferEncoding = 'latin1'): Uint8Array => Buffer.from(text, encoding);

describe('notDxf', () => {
  it.each([
    ['line ends of either kind', DXF.replaceAll('\r', '')],
    ['codes set right', DXF.replaceAll(/^(\d)\r/gm, '  $1\r')],
    ['a comment', `999\nby hand\n${DXF}`],
    ['a negative code', `-4\n<AND\n${DXF}`],
    ['letters of a code page', `999\n\u00c4rmel\n${DXF}`],
  ])('lets a DXF with %s through', (_, text) => {
    expect(notDxf(bytes(text))).toBeUndefined();
  });

  it('lets a byte order mark of UTF-8 through', () => {
    expect(notDxf(bytes(`\ufeff${DXF}`, 'utf8'))).toBeUndefined();
  });

  it.each([
    ['a zip archive', bytes('PK\x03\x04\x14\0')],
    ['a gzip file', gzipSync(DXF)],
    ['a PDF', bytes('%PDF-1.7\n')],
    ['a binary DXF', bytes('AutoCAD Binary DXF\r\n\x1a\0')],
    ['a DWG', bytes('AC1032\0\0')],
    ['XML or HTML', bytes('<svg xmlns="x"/>')],
    ['JSON', bytes('{ "front": [] }')],
    ['text in UTF-16', bytes(`\ufeff${DXF}`, 'utf16le')],
    ['text in UTF-16', bytes(DXF, 'utf16le')],
    ['text in UTF-16', Buffer.from(bytes(DXF, 'utf16le')).swap16()],
    ['a binary file', bytes('\0\x01\x02')],
    ['empty', bytes(' \r\n')],
    ['empty', bytes('')],
  ])('knows %s', (what, head) => {
    expect(notDxf(head)).toBe(what);
  });

  it.each(['hello world', 'SECTION\n0', '12345\nX', '1.5\nX', '\u00ff'])(
    'calls "%s" text that is none',
    (text) => {
      expect(notDxf(bytes(text))).toBe('text that begins with no group code');
      // What is refused here could not have been read.
      expect(readDxf(dxfText(bytes(text))).pattern).toBeUndefined();
    },
  );
});
