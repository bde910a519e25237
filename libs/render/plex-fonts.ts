import { createRequire } from 'node:module';

const FILES = {
  regular: '400Regular/IBMPlexSans_400Regular.ttf',
  semibold: '600SemiBold/IBMPlexSans_600SemiBold.ttf',
} as const;

/** Paths of the two weights of IBM Plex Sans that every drawing is set in. */
export const PLEX_FONTS = {
  regular: pathOf(FILES.regular),
  semibold: pathOf(FILES.semibold),
};

function pathOf(file: string): string {
  return createRequire(import.meta.url).resolve(`@expo-google-fonts/ibm-plex-sans/${file}`);
}
