import { parentPort, workerData } from 'node:worker_threads';
import {
  layWholeGarments,
  MarkerEngine,
  planMarker,
  type EngineOptions,
  type Marker,
  type MarkerRequest,
  type RefusedLayout,
  type WholeGarments,
} from '#marker';

/** What one thread is asked: one chain of the search, or which whole garments fit. */
export interface MarkerOrder {
  readonly kind: 'lay' | 'whole-garments';
  readonly request: MarkerRequest;
  readonly options: EngineOptions;
  /** Moves to make; Infinity to go on until told to stop. */
  readonly work: number;
  /** Not 0 from the moment the search is to end. */
  readonly stop: Int32Array;
}

export type MarkerReport =
  | { readonly kind: 'better'; readonly marker: Marker }
  | { readonly kind: 'progress'; readonly work: number }
  | { readonly kind: 'done'; readonly marker: Marker; readonly refused: readonly RefusedLayout[] }
  | { readonly kind: 'whole-garments'; readonly answer: WholeGarments };

const PROGRESS_EVERY_MS = 250;
/** A certificate costs up to a tenth of a second; what it proves is handed over so often and no oftener. */
const BETTER_EVERY_MS = 1000;

const order = workerData as MarkerOrder;
if (order.kind === 'lay') lay(order);
else whole(order);

function lay({ request, options, work, stop }: MarkerOrder): void {
  const plan = planMarker(request);
  if (!plan.ok) throw new Error(`PLAN_REFUSED ${plan.problems[0].code}`);
  const engine = new MarkerEngine(plan.plan, options);
  let sent = engine.best();
  report({ kind: 'better', marker: sent });
  let [progressAt, betterAt] = [performance.now(), performance.now()];
  // Steps are about 5 ms whether or not there is a mark to reach, so the search never depends on the clock.
  for (let done = 0; done < work && Atomics.load(stop, 0) === 0;) {
    const { work: moves, length } = engine.step();
    done = moves;
    const now = performance.now();
    if (now - progressAt > PROGRESS_EVERY_MS) {
      progressAt = now;
      report({ kind: 'progress', work: moves });
    }
    if (length < sent.figures.length && now - betterAt > BETTER_EVERY_MS) {
      betterAt = now;
      sent = engine.best();
      report({ kind: 'better', marker: sent });
    }
  }
  // Asked first: the last layout may be the one that is refused.
  const marker = engine.best();
  report({ kind: 'done', marker, refused: engine.refused });
}

function whole({ request, options, work, stop }: MarkerOrder): void {
  const search = layWholeGarments(request, { ...options, work });
  for (;;) {
    const step = search.next();
    if (step.done === true) return report({ kind: 'whole-garments', answer: step.value });
    if (Atomics.load(stop, 0) !== 0) return;
  }
}

function report(message: MarkerReport): void {
  parentPort?.postMessage(message);
}
