import { quickTask } from './quick.js';
import { DepthField } from '../../libs/marker/depth-field.js';
import { intersect, area as areaOf, FillRule } from 'clipper2-ts';
for (const name of ['trousers', 'shirts', 'swim', 'marques']) {
  const { task } = quickTask(`/work/shared/data/markers/${name}.json`);
  const f = new DepthField(task.variants.map((v) => v.ring), 3);
  let bad = 0, over = 0; const N = 20000; let s = 12345;
  const rnd = () => (s = (s * 1103515245 + 12345) & 0x7fffffff) / 0x7fffffff;
  const t0 = Date.now();
  for (let i = 0; i < task.variants.length; i++) for (let k = 0; k < task.variants.length; k++) f.code(i, k);
  const prep = Date.now() - t0;
  for (let q = 0; q < N; q++) {
    const a = Math.floor(rnd() * task.variants.length), b = Math.floor(rnd() * task.variants.length);
    const [A, B] = [task.variants[a], task.variants[b]];
    const dx = Math.round(A.box.left - B.box.right + rnd() * (A.box.right - A.box.left + B.box.right - B.box.left));
    const dy = Math.round(A.box.bottom - B.box.top + rnd() * (A.box.top - A.box.bottom + B.box.top - B.box.bottom));
    const d = f.depth(f.code(a, b), dx, dy);
    const P = Array.from(A.ring.xs, (x, i) => ({ x, y: A.ring.ys[i] }));
    const Q = Array.from(B.ring.xs, (x, i) => ({ x: x + dx, y: B.ring.ys[i] + dy }));
    const inter = Math.abs(intersect([P], [Q], FillRule.NonZero).reduce((t, p) => t + areaOf(p), 0));
    if (inter > 0) over++;
    const says = d > 3 + 2;
    if ((says && inter === 0) || (d === 0 && inter > 1e4) || (inter > 1e7 && d < 3)) { bad++; if (bad < 6) console.log(name, a, b, dx, dy, d, inter); }
  }
  console.log(name, 'prep', prep, 'tables', f.head.length / 8, 'bad', bad, 'over', over, '/', N);
}
