import { sha256, MANIFEST_NAME, type Manifest } from '#deliverables';
import type { FolderFile } from './write-folder.js';

/** The API as a shop's own program would use it: HTTP, JSON and a key, nothing of ours. */
export interface ApiClient {
  post(path: string, body: unknown, headers?: Readonly<Record<string, string>>): Promise<ApiAnswer>;
  file(path: string): Promise<Uint8Array>;
}

export interface ApiAnswer {
  readonly status: number;
  readonly location: string | undefined;
  readonly body: Readonly<Record<string, unknown>>;
}

/** The API answered something else than was asked for. */
export class ApiAnswerError extends Error {
  override readonly name = 'ApiAnswerError';

  constructor(lines: readonly string[]) {
    super(lines.join('\n'));
  }
}

const ANSWER_MS_MAX = 30_000;

export function createApiClient(url: string, apiKey: string): ApiClient {
  const call = async (method: 'GET' | 'POST', path: string, init: RequestInit = {}): Promise<Response> => {
    const headers = { authorization: `Bearer ${apiKey}`, ...(init.headers as Record<string, string>) };
    const signal = AbortSignal.timeout(ANSWER_MS_MAX);
    const response = await fetch(new URL(path, url), { ...init, method, headers, signal });
    if (response.ok) return response;
    throw new ApiAnswerError([`${method} ${path} was answered ${response.status}:`, await response.text()]);
  };
  return {
    post: async (path, body, headers = {}) => {
      const response = await call('POST', path, {
        body: JSON.stringify(body),
        headers: { 'content-type': 'application/json', ...headers },
      });
      return {
        status: response.status,
        location: response.headers.get('location') ?? undefined,
        body: (await response.json()) as Record<string, unknown>,
      };
    },
    file: async (path) => new Uint8Array(await (await call('GET', path)).arrayBuffer()),
  };
}

/** Every file of a draft with its manifest, each held against the size and the hash that the manifest names. */
export async function fetchFiles(client: ApiClient, filesPath: string): Promise<FolderFile[]> {
  const manifestBytes = await client.file(`${filesPath}/${MANIFEST_NAME}`);
  const manifest = JSON.parse(new TextDecoder().decode(manifestBytes)) as Manifest;
  const fetched = await Promise.all(
    manifest.files.map(async ({ name, bytes: size, sha256: hash }) => {
      const bytes = await client.file(`${filesPath}/${encodeURIComponent(name)}`);
      if (bytes.length !== size || sha256(bytes) !== hash)
        throw new ApiAnswerError([`${name} is not what the manifest says.`]);
      return { name, bytes };
    }),
  );
  return [...fetched, { name: MANIFEST_NAME, bytes: manifestBytes }];
}
