import type { TruingReport } from '#truing';
import { writtenFinding } from './draft-file.js';

/** What `truing.json` holds; a draft without pieces has nothing to sew and is not sewable. */
export function truingFile(report: TruingReport | undefined): unknown {
  if (report === undefined) {
    return {
      seams: [],
      corners: [],
      balanceLines: [],
      waistband: null,
      outline: [],
      findings: [],
      sewable: false,
    };
  }
  const { findings, ...checks } = report;
  const { sewable, outline, ...rest } = checks;
  return { ...rest, outline: outline.map(writtenOutline), findings: findings.map(writtenFinding), sewable };
}

// A straight cubic has no radius; JSON has no infinity.
function writtenOutline({ curves, ...rest }: TruingReport['outline'][number]): unknown {
  return {
    ...rest,
    curves: curves.map((curve) => ({
      ...curve,
      radiusMm: Number.isFinite(curve.radiusMm) ? curve.radiusMm : null,
    })),
  };
}
