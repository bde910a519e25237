import type { CutPiece } from '#finishing';
import { writeDxf } from '#interchange';

/** Cut pieces as a file that anybody may send. */
export function dxfOf(pieces: readonly CutPiece[], units: 'metric' | 'english' = 'metric'): string {
  return writeDxf(
    { styleName: 'order 1042', author: 'a;b;c', sampleSize: 'MTM', material: 'denim', pieces },
    { profile: 'astm', units },
  );
}
