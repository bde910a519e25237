import { readFileSync } from 'node:fs';
import { Chain } from '../../libs/marker/chain.js';
import { boxOf, cleanRing, twiceArea, isMovedCopy } from '../../libs/marker/ring.js';
import type { Task, Variant, TaskPiece } from '../../libs/marker/task.js';
interface Inst { stripHeight: number; pieces: { id: number; count: number; turns: number[]; outline: [number, number][] }[] }
export function quickTask(file: string): { task: Task; area: number; scale: number } {
  const inst = JSON.parse(readFileSync(file, 'utf8')) as Inst;
  let area = 0;
  for (const p of inst.pieces) { let a = 0; p.outline.forEach((q, i) => { const r = p.outline[(i + 1) % p.outline.length]; a += q[0] * r[1] - r[0] * q[1]; }); area += Math.abs(a / 2) * p.count; }
  const scale = 2 ** Math.floor(Math.log2(2 ** 22 / (area / inst.stripHeight)));
  const variants: Variant[] = []; const pieces: TaskPiece[] = [];
  inst.pieces.forEach((p, shape) => {
    const mine: number[] = [];
    for (const turn of p.turns) {
      const [c, s] = [[1, 0], [0, 1], [-1, 0], [0, -1]][turn / 90];
      const ring = cleanRing(p.outline.map(([x, y]): [number, number] => [(c * x - s * y) * scale, (s * x + c * y) * scale]))!;
      const box = boxOf(ring);
      if (box.top - box.bottom > inst.stripHeight * scale) continue;
      if (mine.some((v) => isMovedCopy(variants[v].ring, ring))) continue;
      mine.push(variants.length);
      variants.push({ shape, turn, mirrored: false, ring, box, direction: turn === 0 ? 0 : 1 });
    }
    for (let k = 0; k < p.count; k++) pieces.push({ variants: mine, bundle: -1 });
  });
  const H = inst.stripHeight * scale;
  const task: Task = { variants, pieces, height: H, gap: 3,
    yMin: Float64Array.from(variants, (v) => Math.ceil(-v.box.bottom + (file.includes('swim') ? 1 : 0))), yMax: Float64Array.from(variants, (v) => Math.floor(H - v.box.top - (file.includes('swim') ? 1 : 0))),
    xMin: Float64Array.from(variants, (v) => -v.box.left), reach: Float64Array.from(variants, (v) => v.box.right), repeatX: 0, repeatY: 0, phaseX: 0, phaseY: 0 };
  void twiceArea;
  return { task, area, scale };
}
const isMain = process.argv[1]?.endsWith('quick.js');
if (isMain) {
  const [name, secs, seeds] = [process.argv[2], Number(process.argv[3] ?? 10), (process.argv[4] ?? '1').split(',').map(Number)];
  for (const seed of seeds) {
    const { task, area, scale } = quickTask(`/work/shared/data/markers/${name}.json`);
    const chain = new Chain(task, seed, 0);
    const dbg = process.env['DBG'] !== undefined; const t0 = process.cpuUsage(); const cpu = () => { const c = process.cpuUsage(t0); return (c.user + c.system) / 1e6; };
    (globalThis as any).DBG = dbg ? { push: (a: unknown[]) => console.log(cpu().toFixed(1), a.map((z, i) => (i >= 5 && typeof z === 'number' ? u(z) : z)).join(' ')) } : undefined; const it = chain.run(); let n = 0; let next = 2; const line: string[] = [];
    const u = (l: number) => (100 * area / (l / scale * (task.height / scale))).toFixed(2);
    for (;;) { it.next(); if (++n % 16) continue; const t = cpu(); if (t > next) { next += secs > 20 ? 6 : 2; line.push(u(chain.best.length)); } if (t > secs) break; }
    console.log(name, seed, 'final', u(chain.best.length), 'moves/s', Math.round(chain.moves / cpu()), 'cycles', chain.cycles, line.join(' '));
  }
}
