import { HPGL2_COORDINATE_MAX, writeDxf, writeHpgl, writeSvg } from '#interchange';
import { markerRollSheets, markerSheet, PAGE_MM_MAX, PLEX_WIDTHS, type Sheet } from '#sheets';
import { namedPieces, type MarkerToWrite, type NamedPiece } from './marker-to-write.js';

/** svg, pdf: to scale, a page a marker. sheet: PDF at true size. dxf, plot: pieces in place for a cutter and a plotter. */
export const MARKER_OUTPUTS = ['svg', 'pdf', 'sheet', 'dxf', 'plot'] as const;
export type MarkerOutput = (typeof MARKER_OUTPUTS)[number];

export interface MarkerFiles {
  readonly files: readonly { readonly name: string; readonly text: string }[];
  /** Pages that still have to be rendered as a PDF. */
  readonly prints: readonly { readonly name: string; readonly sheets: readonly Sheet[] }[];
}

export interface MarkerProvenance {
  /** Name and version of the engine. */
  readonly engine: string;
  /** YYYY-MM-DD: the only date that files carry. */
  readonly dated?: string;
}

/** Room for the margins of a page beside the cloth. */
const SECTION_MM = PAGE_MM_MAX - 80;

/**
 * Drawings and cut files of one or several markers.
 *
 * Shape   marker.svg, marker.pdf (a page a marker), marker-sheet.pdf (true size, sections of at most 5 m), marker.dxf,
 *         marker.plt; of a second marker marker-2.svg and so on. Pieces carry number, name, left or right, order and size;
 *         garments differ by number and hatch, never by colour alone.
 * Units   millimetres; a request in another unit is drawn as if it were millimetres.
 */
export function markerFiles(
  markers: readonly MarkerToWrite[],
  wanted: readonly MarkerOutput[],
  provenance: MarkerProvenance,
): MarkerFiles {
  const named = markers.map((one) => ({ one, pieces: namedPieces(one) }));
  const each = (
    ending: string,
    write: (one: MarkerToWrite, pieces: readonly NamedPiece[], index: number) => string,
  ) =>
    named.map(({ one, pieces }, i) => ({
      name: i === 0 ? `marker.${ending}` : `marker-${i + 1}.${ending}`,
      text: write(one, pieces, i),
    }));
  const wants = (output: MarkerOutput): boolean => wanted.includes(output) && markers.length > 0;
  const overviews =
    wants('svg') || wants('pdf') ? named.map(({ one, pieces }) => overviewOf(one, pieces)) : [];
  return {
    files: [
      ...(wants('svg') ? each('svg', (_one, _pieces, i) => writeSvg(overviews[i])) : []),
      ...(wants('dxf') ? each('dxf', (one, pieces) => dxfOf(one, pieces, provenance)) : []),
      ...(wants('plot') ? each('plt', plotOf) : []),
    ],
    prints: [
      ...(wants('pdf') ? [{ name: 'marker.pdf', sheets: overviews }] : []),
      ...(wants('sheet')
        ? [
            {
              name: 'marker-sheet.pdf',
              sheets: named.flatMap(({ one, pieces }) => trueSizeOf(one, pieces, SECTION_MM)),
            },
          ]
        : []),
    ],
  };
}

function overviewOf(one: MarkerToWrite, pieces: readonly NamedPiece[]): Sheet {
  const { request, marker, sizes } = one;
  const { cloth, garments } = request;
  return markerSheet(
    {
      reference: headOf(one),
      cloth: {
        width: cloth.width,
        length: marker.figures.length,
        selvedge: cloth.selvedge ?? 0,
        endMargin: cloth.endMargin ?? 0,
        repeatAlong: cloth.repeatAlong ?? 0,
        repeatAcross: cloth.repeatAcross ?? 0,
      },
      garments: garments.map(({ reference }, g) => [reference, sizes[g] ?? []].flat().join(' · ')),
      pieces: pieces.map(({ placement, onCloth, name }) => ({
        name,
        garment: placement.garment,
        outline: onCloth.cut.map(({ at }) => at),
        grainRad: Math.atan2(
          onCloth.grain[1].y - onCloth.grain[0].y,
          onCloth.grain[1].x - onCloth.grain[0].x,
        ),
      })),
      facts: factsOf(one),
    },
    PLEX_WIDTHS,
  );
}

function trueSizeOf(one: MarkerToWrite, pieces: readonly NamedPiece[], sectionMm: number): Sheet[] {
  const { cloth } = one.request;
  return markerRollSheets(
    {
      reference: headOf(one),
      cloth: {
        widthMm: cloth.width,
        lengthMm: one.marker.figures.length,
        selvedgeMm: cloth.selvedge ?? 0,
        endMarginMm: cloth.endMargin ?? 0,
      },
      pieces: pieces.map(({ placement, onCloth, name, garment }) => ({
        piece: onCloth,
        garment: placement.garment + 1,
        name,
        reference: garment,
      })),
      facts: factsOf(one),
    },
    sectionMm,
    PLEX_WIDTHS,
  );
}

function plotOf(one: MarkerToWrite, pieces: readonly NamedPiece[]): string {
  const [sheet] = trueSizeOf(one, pieces, Infinity);
  const [window] = writeHpgl(sheet, { coordinateMax: HPGL2_COORDINATE_MAX });
  return window.text;
}

function dxfOf(
  one: MarkerToWrite,
  pieces: readonly NamedPiece[],
  { engine, dated }: MarkerProvenance,
): string {
  return writeDxf(
    {
      styleName: one.reference,
      author: `forkline;marker;${engine.split(' ').at(-1) ?? ''}`,
      sampleSize: 'MTM',
      material: one.clothName ?? 'shell',
      pieces: pieces.map(({ placement, onCloth, name, garment }, i) => ({
        ...onCloth,
        // Block names have to differ; the number of the placement is the same in every file of the marker.
        id: `p${i + 1}`,
        name: `${placement.garment + 1} ${name} ${garment}`,
      })),
      ...(dated === undefined ? {} : { dated }),
    },
    { profile: 'astm', units: 'metric' },
  );
}

function headOf({ reference, clothName, rollName }: MarkerToWrite): string {
  return [reference, clothName ?? [], rollName ?? []].flat().join(' · ');
}

function factsOf({ request, marker, comparison }: MarkerToWrite): string[] {
  const { cloth, garments } = request;
  const { figures, placements } = marker;
  const { length, utilisation, lengthPerGarment, lowerBoundByArea, lowerBoundByPiece, clothLength, cost } =
    figures;
  const money = cost === undefined ? '' : ` · cost ${cost.toFixed(2)}`;
  const end = clothLength === length ? '' : ` · ${clothLength.toFixed(1)} with end allowance`;
  return [
    `${placements.length} pieces of ${garments.length} ${garments.length === 1 ? 'garment' : 'garments'} · cloth ${cloth.width} wide · ` +
      `length ${length.toFixed(1)}${end} · utilisation ${(100 * utilisation).toFixed(2)} %`,
    `${lengthPerGarment.toFixed(1)} a garment · never shorter than ${lowerBoundByArea.toFixed(1)} by area, ` +
      `${lowerBoundByPiece.toFixed(1)} by the longest piece · cut lines ${figures.perimeter.toFixed(0)} in all${money}`,
    `nap ${cloth.nap ?? 'free'} · gap ${cloth.gap ?? 0} · selvedge ${cloth.selvedge ?? 0} · end margin ${cloth.endMargin ?? 0}` +
      ' · cut along the outlines, no allowance is added',
    ...(comparison === undefined
      ? []
      : [
          `${Math.abs(comparison.savedPercent).toFixed(1)} % ${comparison.saved >= 0 ? 'shorter' : 'longer'} a garment than the ` +
            `marker before (${comparison.previousLengthPerGarment.toFixed(1)})`,
        ]),
  ];
}
