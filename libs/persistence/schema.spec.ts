import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { createTestDatabase, MIGRATIONS, type TestDatabase } from '../../test/support/test-database.js';

let test: TestDatabase;

beforeAll(async () => {
  test = await createTestDatabase();
}, 60_000);

afterAll(() => test.drop());

/** PostgreSQL's names for Prisma's types, as its type mapping lists them. */
const TYPES: Readonly<Record<string, string>> = {
  String: 'text',
  'String[]': 'ARRAY',
  Int: 'integer',
  BigInt: 'bigint',
  Float: 'double precision',
  Boolean: 'boolean',
  Json: 'jsonb',
  Bytes: 'bytea',
  DateTime: 'timestamp with time zone',
};

/** table.column -> type and whether it may be null, read from schema.prisma as text. */
function declaredColumns(): Record<string, string> {
  const text = readFileSync(join(MIGRATIONS, '../schema.prisma'), 'utf8');
  const columns: Record<string, string> = {};
  for (const [, body = ''] of text.matchAll(/^model \w+ \{(.*?)^\}/gms)) {
    const table = /@@map\("(\w+)"\)/.exec(body)?.[1] ?? '';
    for (const [, field = '', type = '', optional = '', rest = ''] of body.matchAll(
      /^ {2}(\w+) +(\w+(?:\[\])?)(\??)(.*)$/gm,
    )) {
      const column = /@map\("(\w+)"\)/.exec(rest)?.[1] ?? field;
      columns[`${table}.${column}`] = `${TYPES[type]}${optional}`;
    }
  }
  return columns;
}

async function actualColumns(): Promise<Record<string, string>> {
  const rows = await test.query(`
    select table_name || '.' || column_name as name, data_type || case is_nullable when 'YES' then '?' else '' end as type
    from information_schema.columns where table_schema = 'public' and table_name <> '_prisma_migrations'`);
  return Object.fromEntries(rows.map(({ name, type }) => [name, type]));
}

describe('the database that the migrations make', () => {
  it('has the columns of schema.prisma, no more and no less', async () => {
    const declared = declaredColumns();
    expect(Object.keys(declared).length).toBeGreaterThan(80);
    expect(await actualColumns()).toEqual(declared);
  });

  it('has a shop on every table', async () => {
    const tables = new Set(Object.keys(await actualColumns()).map((name) => name.split('.')[0]));
    const without = [...tables].filter(
      (table) => table !== 'shops' && !(`${table}.shop_id` in declaredColumns()),
    );
    expect(without).toEqual([]);
  });

  it('carries the shop in every reference but the one to the shop itself', async () => {
    const references = await test.query(`
      select conname, pg_get_constraintdef(oid) as definition from pg_constraint where contype = 'f'`);
    expect(references.length).toBeGreaterThan(10);
    for (const { definition } of references) {
      expect(definition).toMatch(
        /^FOREIGN KEY \(shop_id(\) REFERENCES shops\(id\)|, \w+\) REFERENCES \w+\(shop_id, id\))/,
      );
    }
  });

  // An unindexed reference makes every deletion of its target read the whole table.
  it('has an index that begins with the columns of every reference', async () => {
    const missing = await test.query(`
      select conrelid::regclass::text as table, conname from pg_constraint c
      where contype = 'f' and confrelid <> 'shops'::regclass and not exists (
        select 1 from pg_index i where i.indrelid = c.conrelid
          and (i.indkey::int2[])[0:cardinality(c.conkey) - 1] = c.conkey)`);
    expect(missing).toEqual([]);
  });
});
