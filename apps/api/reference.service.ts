import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { notFound, PROBLEM_KINDS, type ProblemKind } from './api-error.js';

const VIEWER = dirname(createRequire(import.meta.url).resolve('swagger-ui-dist/package.json'));

const PAGE = `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>Forkline reference</title>
<link rel="stylesheet" href="swagger-ui.css">
<link rel="icon" href="favicon-32x32.png">
</head>
<body>
<div id="reference"></div>
<script src="swagger-ui-bundle.js"></script>
<script src="start.js"></script>
</body>
</html>
`;

// "validatorUrl: null": the viewer would otherwise ask a host of its makers about our description.
const START = `window.onload = () => {
  SwaggerUIBundle({ url: '/openapi.json', dom_id: '#reference', deepLinking: true, validatorUrl: null });
};
`;

const WRITTEN: Readonly<Record<string, { readonly text: string; readonly mediaType: string }>> = {
  'index.html': { text: PAGE, mediaType: 'text/html; charset=utf-8' },
  'start.js': { text: START, mediaType: 'text/javascript; charset=utf-8' },
};

const FROM_VIEWER: Readonly<Record<string, string>> = {
  'swagger-ui.css': 'text/css; charset=utf-8',
  'swagger-ui-bundle.js': 'text/javascript; charset=utf-8',
  'favicon-32x32.png': 'image/png',
};

export interface Asset {
  readonly bytes: Uint8Array;
  readonly mediaType: string;
}

/** The descriptions of the service and the page that shows them, all from this machine. */
export class ReferenceService {
  /** The viewer sets styles by itself; everything else is files of this host. */
  readonly contentSecurityPolicy =
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

  constructor(private readonly texts: { readonly openApi: string; readonly sdl: string }) {}

  openApiText(): string {
    return this.texts.openApi;
  }

  sdlText(): string {
    return this.texts.sdl;
  }

  /** What the `type` of a problem leads to. Errors  not-found. */
  problemText(kind: string): string {
    if (!Object.hasOwn(PROBLEM_KINDS, kind)) throw notFound('kind of problem');
    const { status, title } = PROBLEM_KINDS[kind as ProblemKind];
    return `${kind}\n\n${title}. Answered with status ${status}; "detail" and "errors" of the answer say what to do.\n`;
  }

  /** Errors  not-found. */
  async asset(name: string): Promise<Asset> {
    const written = Object.hasOwn(WRITTEN, name) ? WRITTEN[name] : undefined;
    if (written !== undefined) return { bytes: Buffer.from(written.text), mediaType: written.mediaType };
    const mediaType = Object.hasOwn(FROM_VIEWER, name) ? FROM_VIEWER[name] : undefined;
    if (mediaType === undefined) throw notFound('page');
    return { bytes: await readFile(join(VIEWER, name)), mediaType };
  }
}
