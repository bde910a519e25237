import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from '@jest/globals';
import { BEGIN, codeTables, END } from '../../test/support/code-page.js';

const PAGE = join(import.meta.dirname, '../../../docs/checking.md');

describe('the codes and tolerances in docs/checking.md', () => {
  it('are those of a check: UPDATE_DOCS=1 writes them', () => {
    const page = readFileSync(PAGE, 'utf8');
    const [begin, end] = [page.indexOf(BEGIN), page.indexOf(END)];
    expect(begin).toBeGreaterThan(0);
    expect(end).toBeGreaterThan(begin);
    const written = page.slice(0, begin) + codeTables() + page.slice(end + END.length);
    if (process.env['UPDATE_DOCS'] === '1') writeFileSync(PAGE, written);
    expect(readFileSync(PAGE, 'utf8')).toBe(written);
  });
});
