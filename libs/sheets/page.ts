import type { Curve } from '#geometry';
import { boxOfText, grownBox, type Bounds } from './box.js';
import { strokeMark, type Layer, type Mark, type Stroke, type TextMark } from './display-list.js';
import { Room, type LineRank } from './room.js';
import type { TextWidths } from './text-widths.js';

/** White space kept round every text. */
export const TEXT_CLEAR_MM = 0.7;

/** A drawing while it is made: marks by layer, and the room they leave. */
export class Page<LayerId extends string> {
  readonly room: Room;
  private readonly marks: ReadonlyMap<LayerId, Mark[]>;

  /** `layerIds` in drawing order. */
  constructor(
    bounds: Bounds,
    layerIds: readonly LayerId[],
    readonly widths: TextWidths,
  ) {
    this.room = new Room(bounds);
    this.marks = new Map(layerIds.map((id) => [id, []]));
  }

  draw(layer: LayerId, marks: readonly Mark[]): void {
    this.marks.get(layer)?.push(...marks);
  }

  /** Draw a line that labels have to respect. */
  drawLine(layer: LayerId, curves: readonly Curve[], stroke: Stroke, rank: LineRank): void {
    if (curves.length === 0) return;
    this.draw(layer, [strokeMark(curves, stroke)]);
    this.room.addCurves(curves, rank);
  }

  /** Draw a text whose place has been found. */
  drawText(layer: LayerId, mark: TextMark): void {
    this.draw(layer, [mark]);
    this.room.addBox(grownBox(boxOfText(mark), TEXT_CLEAR_MM));
  }

  /** Layers that have a mark so far. */
  drawnLayers(): ReadonlySet<LayerId> {
    return new Set([...this.marks].filter(([, marks]) => marks.length > 0).map(([id]) => id));
  }

  layers(): Layer<LayerId>[] {
    return [...this.marks].map(([id, marks]) => ({ id, marks }));
  }
}
