/** A DXF with the text of a grade rule at points of it. */
export function withGradeRules(
  dxf: string,
  ruleAt: (point: {
    readonly block: string;
    readonly layer: string;
    readonly x: number;
    readonly y: number;
  }) => string | undefined,
): string {
  const lines = dxf.split(/\r?\n/);
  const out: string[] = [];
  const seen = new Set<string>();
  let block = '';
  let entity: { kind: string; layer: string; x?: string; y?: string; name?: string } | undefined;
  let texts: string[] = [];
  const close = (): void => {
    if (entity?.kind === 'BLOCK') block = entity.name ?? '';
    if (entity?.x === undefined || entity.y === undefined || !['POINT', 'VERTEX'].includes(entity.kind))
      return;
    const rule = ruleAt({ block, layer: entity.layer, x: Number(entity.x), y: Number(entity.y) });
    const key = `${entity.x} ${entity.y}`;
    if (rule === undefined || seen.has(key)) return;
    seen.add(key);
    texts.push('0', 'TEXT', '8', '1', '10', entity.x, '20', entity.y, '40', '2.0', '1', `# ${rule}`);
  };
  for (let i = 0; i + 1 < lines.length; i += 2) {
    const [code, value] = [lines[i].trim(), lines[i + 1]];
    if (code === '0') {
      close();
      if (value.trim() === 'ENDBLK') {
        out.push(...texts);
        texts = [];
        seen.clear();
      }
      entity = { kind: value.trim(), layer: '' };
    } else if (entity !== undefined) {
      if (code === '8') entity.layer = value.trim();
      if (code === '2') entity.name = value.trim();
      if (code === '10') entity.x = value.trim();
      if (code === '20') entity.y = value.trim();
    }
    out.push(lines[i], value);
  }
  return `${out.join('\r\n')}\r\n`;
}

/** A grade rule table by the form that secondary sources give of ASTM D6673-10. */
export function gradeTable(
  sizes: readonly string[],
  sample: string,
  rules: Readonly<Record<string, readonly (readonly [number, number])[]>>,
  name = 'T1',
): string {
  return [
    'ASTM/D13 Proposal 1 Version: D 6673-10',
    'UNITS: METRIC',
    `GRADE RULE TABLE: ${name}`,
    `NUMBER OF SIZES: ${sizes.length}`,
    `SIZE LIST: ${sizes.join(' ')}`,
    `SAMPLE SIZE: ${sample}`,
    ...Object.entries(rules).flatMap(([rule, moves]) => [
      `RULE: DELTA ${rule}`,
      ...moves.map(([x, y]) => `  ${x.toFixed(6)}, ${y.toFixed(6)}`),
    ]),
    'END',
    '',
  ].join('\n');
}
