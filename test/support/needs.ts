import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { describe, it } from '@jest/globals';

/** Something outside the project that a test cannot do without. */
export interface Need<Found> {
  readonly name: string;
  readonly found: Found | undefined;
}

/** A bare python: its standard library is enough. */
export const PYTHON: Need<string> = {
  name: 'python3 (3.9 or newer)',
  found: ['/usr/bin/python3', 'python3'].find(
    (python) => spawnSync(python, ['-c', 'import sys; sys.exit(sys.version_info < (3, 9))']).status === 0,
  ),
};

/** A python with numpy and shapely; CI installs them. */
export const SHAPELY: Need<string> = {
  name: 'python3 with numpy and shapely',
  found: ['/usr/bin/python3', 'python3'].find(
    (python) => spawnSync(python, ['-c', 'import numpy, shapely']).status === 0,
  ),
};

/** A python with ezdxf, a general-purpose DXF library. */
export const EZDXF: Need<string> = {
  name: 'python3 with ezdxf',
  found: ['/usr/bin/python3', 'python3'].find(
    (python) => spawnSync(python, ['-c', 'import ezdxf']).status === 0,
  ),
};

/** A python with all three. */
export const SHAPELY_AND_EZDXF: Need<string> = {
  name: 'python3 with numpy, shapely and ezdxf',
  found: ['/usr/bin/python3', 'python3'].find(
    (python) => spawnSync(python, ['-c', 'import numpy, shapely, ezdxf']).status === 0,
  ),
};

/** The PDF tools of poppler: pdfinfo, pdffonts, pdftotext, pdftoppm. */
export const POPPLER: Need<true> = {
  name: 'the PDF tools of poppler',
  found: ['pdfinfo', 'pdffonts', 'pdftotext', 'pdftoppm'].every(
    (tool) => spawnSync(tool, ['-v']).error === undefined,
  )
    ? true
    : undefined,
};

export const QPDF: Need<true> = {
  name: 'qpdf',
  found: spawnSync('qpdf', ['--version']).status === 0 ? true : undefined,
};

/** The whole survey table; the product holds a sample of it. */
export const SURVEY: Need<string> = {
  name: 'the survey table of 2,023 bodies',
  found: [
    process.env['FORKLINE_SURVEY'] ?? '',
    join(import.meta.dirname, '../../../../shared/data/bodies.csv'),
  ].find((path) => path !== '' && existsSync(path)),
};

/** Describe tests that need something from outside; where it is absent they are skipped, and their name says why. */
export function describeWith<Found>(need: Need<Found>, title: string, body: (found: Found) => void): void {
  const { found, name } = need;
  if (found === undefined) {
    describe(title, () => {
      it.skip(`needs ${name}, which is not here`, () => undefined);
    });
    return;
  }
  describe(title, () => {
    body(found);
  });
}
