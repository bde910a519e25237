import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { csvRows, type CsvRow } from './csv-rows.js';

describe('csvRows', () => {
  it('reads back what RFC 4180 writes, however the text is cut into pieces', async () => {
    const arbCell = fc.stringMatching(/^[a-z0-9 ",.;é-]{0,12}$/).map((cell) => cell.trim());
    const arbTable = fc.array(fc.array(arbCell, { minLength: 2, maxLength: 5 }), { maxLength: 8 });
    const arbEnd = fc.constantFrom('\n', '\r\n');
    await fc.assert(
      fc.asyncProperty(arbTable, arbEnd, fc.integer({ min: 1, max: 7 }), async (table, end, size) => {
        const text = table.map((row) => row.map(quoted).join(',')).join(end);
        const rows = await read(text, size);
        expect(rows.map(({ cells }) => cells)).toEqual(table);
        expect(rows.map(({ line }) => line)).toEqual(table.map((_, i) => i + 1));
      }),
    );
  });

  it('skips empty lines and a byte order mark, and counts lines as an editor does', async () => {
    expect(await read('\uFEFFref,sex\n\n  \r\na1,female\n')).toEqual([
      { line: 1, cells: ['ref', 'sex'] },
      { line: 4, cells: ['a1', 'female'] },
    ]);
  });

  it('reads on behind a row that is quoted wrongly or too long', async () => {
    const rows = await read(`a"b,1\n"open,1\n${'x'.repeat(20_000)}\nlast,1`);
    expect(rows.map(({ line, fault }) => [line, fault])).toEqual([
      [1, 'has a double quote where none may be'],
      [2, 'has a double quote where none may be'],
      [3, 'has more than 10000 characters'],
      [4, undefined],
    ]);
  });
});

function quoted(cell: string): string {
  return /[",]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell;
}

async function read(text: string, size = 4096): Promise<CsvRow[]> {
  async function* pieces(): AsyncGenerator<string> {
    for (let at = 0; at < text.length; at += size) yield text.slice(at, at + size);
  }
  const rows: CsvRow[] = [];
  for await (const row of csvRows(pieces())) rows.push(row);
  return rows;
}
