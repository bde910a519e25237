import { inflateSync } from 'node:zlib';

export interface Pixels {
  readonly widthPx: number;
  readonly heightPx: number;
  /** Darkness of a pixel, 0 white to 255 black, by its green channel. */
  readonly darkness: (x: number, y: number) => number;
}

/** Samples a pixel by colour type; ISO/IEC 15948, 11.2.1. */
const CHANNELS: Readonly<Record<number, number>> = { 0: 1, 2: 3, 6: 4 };

/** Decode an 8-bit grey, RGB or RGBA PNG without interlace (ISO/IEC 15948, chapters 9 and 11). */
export function pixelsOf(png: Uint8Array): Pixels {
  const bytes = Buffer.from(png);
  const widthPx = bytes.readUInt32BE(16);
  const heightPx = bytes.readUInt32BE(20);
  const channels = CHANNELS[bytes[25]];
  const green = channels === 1 ? 0 : 1;
  const raw = inflateSync(Buffer.concat(chunksOf(bytes, 'IDAT')));
  const stride = widthPx * channels;
  const image = Buffer.alloc(stride * heightPx);
  for (let y = 0; y < heightPx; y++) {
    const filter = raw[y * (stride + 1)];
    for (let i = 0; i < stride; i++) {
      const left = i >= channels ? image[y * stride + i - channels] : 0;
      const up = y > 0 ? image[(y - 1) * stride + i] : 0;
      const corner = i >= channels && y > 0 ? image[(y - 1) * stride + i - channels] : 0;
      image[y * stride + i] = raw[y * (stride + 1) + 1 + i] + predicted(filter, left, up, corner);
    }
  }
  return { widthPx, heightPx, darkness: (x, y) => 255 - image[y * stride + x * channels + green] };
}

/** Decode a binary PGM of 8 bits (netpbm: "P5", width, height and depth as text, then a byte a pixel). */
export function greyPixelsOf(pgm: Uint8Array): Pixels {
  const bytes = Buffer.from(pgm);
  const [head, width, height] = /^P5\s+(\d+)\s+(\d+)\s+255\s/.exec(bytes.toString('latin1', 0, 64)) ?? [];
  if (head === undefined) throw new Error('this is no PGM of 8 bits');
  const [widthPx, heightPx] = [Number(width), Number(height)];
  return { widthPx, heightPx, darkness: (x, y) => 255 - bytes[head.length + y * widthPx + x] };
}

function chunksOf(bytes: Buffer, type: string): Buffer[] {
  const chunks: Buffer[] = [];
  for (let at = 8; at < bytes.length; at += 12 + bytes.readUInt32BE(at)) {
    if (bytes.toString('latin1', at + 4, at + 8) !== type) continue;
    chunks.push(bytes.subarray(at + 8, at + 8 + bytes.readUInt32BE(at)));
  }
  return chunks;
}

function predicted(filter: number, left: number, up: number, corner: number): number {
  switch (filter) {
    case 0:
      return 0;
    case 1:
      return left;
    case 2:
      return up;
    case 3:
      return Math.floor((left + up) / 2);
    default: {
      const p = left + up - corner;
      const [a, b, c] = [Math.abs(p - left), Math.abs(p - up), Math.abs(p - corner)];
      return a <= b && a <= c ? left : b <= c ? up : corner;
    }
  }
}
