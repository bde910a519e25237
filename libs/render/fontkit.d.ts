/** As much of fontkit (2.0.4) as is used here; it publishes no types. */
declare module 'fontkit' {
  /** Lengths in font units: a thousandth of the text size in Plex Sans. */
  export interface Glyph {
    readonly advanceWidth: number;
    readonly path: {
      readonly commands: readonly { readonly command: string; readonly args: readonly number[] }[];
    };
  }

  export interface Font {
    glyphForCodePoint(codePoint: number): Glyph;
  }

  export function create(file: Uint8Array): Font;
}
