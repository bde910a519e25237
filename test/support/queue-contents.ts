import { Redis } from 'ioredis';
import pg from 'pg';
import type { QueueBackend } from '#queue';

/** Everything a queue keeps, as text: to look for what must not be in there. */
export function queueContents(backend: QueueBackend, prefix: string): Promise<string> {
  return backend.kind === 'postgres'
    ? postgresContents(backend.url, prefix)
    : redisContents(backend.url, prefix);
}

async function postgresContents(connectionString: string, schema: string): Promise<string> {
  const client = new pg.Client({ connectionString });
  await client.connect();
  try {
    const tables = await client.query<{ name: string }>(
      'select table_name as name from information_schema.tables where table_schema = $1',
      [schema],
    );
    let text = '';
    for (const { name } of tables.rows) {
      const rows = await client.query<{ row: string }>(`select t::text as row from "${schema}"."${name}" t`);
      text += rows.rows.map(({ row }) => `${name} ${row}\n`).join('');
    }
    return text;
  } finally {
    await client.end();
  }
}

async function redisContents(url: string, prefix: string): Promise<string> {
  const redis = new Redis(url);
  try {
    let text = '';
    for (const key of await redis.keys(`${prefix}:*`)) {
      text += `${key} ${JSON.stringify(await redisValue(redis, key))}\n`;
    }
    return text;
  } finally {
    redis.disconnect();
  }
}

async function redisValue(redis: Redis, key: string): Promise<unknown> {
  switch (await redis.type(key)) {
    case 'hash':
      return redis.hgetall(key);
    case 'list':
      return redis.lrange(key, 0, -1);
    case 'zset':
      return redis.zrange(key, '0', '-1');
    case 'set':
      return redis.smembers(key);
    case 'stream':
      return redis.xrange(key, '-', '+');
    default:
      return redis.get(key);
  }
}
