import { spawnSync } from 'node:child_process';
import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from '@jest/globals';
import { createConfig, lintFromString } from '@redocly/openapi-core';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { HOUSE_ALTERATIONS, readRecipe, WEBHOOK } from '#contracts';
import { webhookBody } from '#webhooks';
import { HOUSE_STYLE } from '../../test/support/house-style.js';
import { openApiText, recipeSchemaText, sdlText } from './descriptions.js';
import { EXAMPLES } from './openapi-examples.js';

const FOLDER = new URL('../../../openapi/', import.meta.url);
const HINT = 'run npm run describe and look at what has changed';

describe('the committed descriptions', () => {
  it('are what the service says of itself', async () => {
    const openApi = await readFile(new URL('openapi.json', FOLDER), 'utf8');
    const sdl = await readFile(new URL('schema.graphql', FOLDER), 'utf8');
    expect({ HINT, same: openApi === openApiText() }).toEqual({ HINT, same: true });
    expect({ HINT, same: sdl === (await sdlText()) }).toEqual({ HINT, same: true });
  });

  it('have a recipe by itself, which another validator reads as the service does', async () => {
    const text = await readFile(new URL('recipe.schema.json', FOLDER), 'utf8');
    expect({ HINT, same: text === recipeSchemaText() }).toEqual({ HINT, same: true });
    const validate = new Ajv2020({ strict: false }).compile(JSON.parse(text) as object);
    for (const recipe of [...HOUSE_ALTERATIONS.values(), HOUSE_STYLE]) {
      const sent = JSON.parse(JSON.stringify(recipe)) as unknown;
      const read = readRecipe(sent);
      expect(read.ok ? [] : read.problems).toEqual([]);
      expect(validate(sent) ? [] : validate.errors).toEqual([]);
      const slipped = { ...(sent as object), steps: [{ do: 'redraw saem', with: {} }] };
      expect(validate(slipped)).toBe(false);
      expect(readRecipe(slipped).ok).toBe(false);
    }
  });

  it('pass the strict rules of an OpenAPI linter', async () => {
    const config = await createConfig({ extends: ['recommended-strict'] });
    const absoluteRef = fileURLToPath(new URL('openapi.json', FOLDER));
    const problems = await lintFromString({ source: openApiText(), absoluteRef, config });
    const places = problems.map(({ ruleId, location }) => `${ruleId} ${location[0]?.pointer ?? ''}`);
    // Those three take nothing, so there is nothing to refuse.
    expect(places.sort()).toEqual(
      ['healthz', 'metrics', 'readyz'].map(
        (name) => `operation-4xx-response #/paths/~1${name}/get/responses`,
      ),
    );
  });

  it('pass a GraphQL linter', () => {
    const bin = fileURLToPath(new URL('../../../node_modules/.bin/graphql-schema-linter', import.meta.url));
    // Pages are ours and not those of a client library, so its rules for them say nothing here.
    const relay = ['relay-page-info-spec', 'relay-connection-types-spec', 'relay-connection-arguments-spec'];
    const args = ['--except', relay.join(','), fileURLToPath(new URL('schema.graphql', FOLDER))];
    const { status, stdout } = spawnSync(bin, args, { encoding: 'utf8' });
    expect({ status, stdout }).toMatchObject({ status: 0 });
  });
});

describe('the webhook of the reference', () => {
  it('is the one that is sent', () => {
    const { data, timestamp } = WEBHOOK.parse(EXAMPLES['Webhook']);
    const { draft = '', ...said } = data;
    const sent = webhookBody({
      subject: 'draft',
      id: draft,
      at: new Date(timestamp),
      ...said,
      reference: said.reference,
    });
    expect(JSON.parse(sent)).toEqual(EXAMPLES['Webhook']);
    expect(WEBHOOK.safeParse(JSON.parse(sent)).success).toBe(true);
  });
});

describe('the examples of the reference', () => {
  const document = JSON.parse(openApiText()) as { components: { schemas: Record<string, unknown> } };
  const ajv = new Ajv2020({ strict: false, validateFormats: false });
  ajv.addSchema({ $id: 'forkline', components: document.components });

  it.each(Object.keys(EXAMPLES))('of %s is one', (name) => {
    const validate = ajv.getSchema(`forkline#/components/schemas/${name}`);
    void validate?.(EXAMPLES[name]);
    expect(validate?.errors ?? null).toBeNull();
    expect(validate).toBeDefined();
  });

  it('that stand at one answer only are of its schema too', () => {
    const { paths } = document as unknown as { paths: object };
    const answers = Object.values(paths)
      .flatMap((methods) => Object.values(methods as object))
      .flatMap(({ responses = {} }: { responses?: object }) => Object.values(responses))
      .flatMap(
        ({
          content = {},
        }: {
          content?: Record<string, { schema: { $ref?: string }; example?: unknown }>;
        }) => {
          const json = content['application/json'];
          return json?.example === undefined ? [] : [json];
        },
      );
    expect(answers.length).toBeGreaterThan(20);
    for (const { schema, example } of answers) {
      const validate = ajv.getSchema(`forkline${schema.$ref ?? ''}`);
      expect({ ok: validate?.(example), errors: validate?.errors }).toMatchObject({ ok: true });
    }
  });
});
