import { promisify } from 'node:util';
import { constants, crc32, deflate } from 'node:zlib';

const SIGNATURE = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
const WHITE = 0xffffffff;
const BYTE = 0xff;
/** A grey value times this has it in its red, green and blue byte. */
const THREEFOLD = 0x010101;
const OPAQUE = 0xff000000;
/** Pixels looked at together for being paper. */
const STRETCH_PX = 128;

/**
 * Pixels as a PNG of one grey channel (ISO/IEC 15948): half the size and a sixth of the time of one in colour, and a
 * drawing has no colours.
 *
 * Shape   `rgba` row by row from the top, four bytes a pixel, none transparent. Rows are written unfiltered and packed by
 *         run lengths: a drawing is long runs of white, and nothing packs those sooner. Runs are found without the hash
 *         table in which one processor's deflate differs from another's, so the bytes are the same everywhere.
 * Errors  RangeError for a pixel that has a colour or lets the ground through.
 */
export async function encodeGreyPng(
  rgba: Uint8Array,
  widthPx: number,
  heightPx: number,
): Promise<Uint8Array> {
  const packed = await promisify(deflate)(greyRows(rgba, widthPx, heightPx), { strategy: constants.Z_RLE });
  const header = Buffer.alloc(13);
  header.writeUInt32BE(widthPx, 0);
  header.writeUInt32BE(heightPx, 4);
  // Eight bits a sample; colour type, compression, filter and interlace stay 0: grey, the only ones there are, none.
  header[8] = 8;
  const chunks = [chunk('IHDR', header), chunk('IDAT', packed), chunk('IEND', Buffer.alloc(0))];
  return new Uint8Array(Buffer.concat([SIGNATURE, ...chunks]));
}

/** One byte a pixel, each row behind the number of its filter, which is 0. */
function greyRows(rgba: Uint8Array, widthPx: number, heightPx: number): Buffer {
  const bytes = Buffer.from(rgba.buffer, rgba.byteOffset, widthPx * heightPx * 4);
  const pixels = new Uint32Array(rgba.buffer, rgba.byteOffset, widthPx * heightPx);
  const blank = Buffer.alloc(STRETCH_PX * 4, BYTE);
  const rows = Buffer.alloc((widthPx + 1) * heightPx, BYTE);
  for (let y = 0; y < heightPx; y++) {
    const to = y * (widthPx + 1);
    rows[to] = 0;
    for (let x = 0; x < widthPx; x += STRETCH_PX) {
      const from = y * widthPx + x;
      const count = Math.min(STRETCH_PX, widthPx - x);
      // A drawing is mostly paper: compared by stretches it takes a third of the time.
      if (bytes.compare(blank, 0, count * 4, from * 4, (from + count) * 4) === 0) continue;
      for (let k = 0; k < count; k++) {
        const pixel = pixels[from + k];
        if (pixel === WHITE) continue;
        const grey = pixel & BYTE;
        // Alpha lies above the colours on the little-endian machines there are; on another one nothing would pass.
        if (pixel !== grey * THREEFOLD + OPAQUE)
          throw new RangeError(`a pixel at ${x + k}, ${y} is no opaque tone of grey`);
        rows[to + 1 + x + k] = grey;
      }
    }
  }
  return rows;
}

function chunk(type: string, data: Uint8Array): Buffer {
  const head = Buffer.alloc(8);
  head.writeUInt32BE(data.length, 0);
  head.write(type, 4, 'latin1');
  const tail = Buffer.alloc(4);
  tail.writeUInt32BE(crc32(data, crc32(type)), 0);
  return Buffer.concat([head, data, tail]);
}
