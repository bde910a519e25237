import { writeFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { openApiText, recipeSchemaText, sdlText } from './descriptions.js';

// Writes openapi/ anew after a route, a schema or a resolver has changed: npm run describe. A test compares.
const FOLDER = new URL('../../../openapi/', import.meta.url);

await writeFile(fileURLToPath(new URL('openapi.json', FOLDER)), openApiText());
await writeFile(fileURLToPath(new URL('schema.graphql', FOLDER)), await sdlText());
await writeFile(fileURLToPath(new URL('recipe.schema.json', FOLDER)), recipeSchemaText());
