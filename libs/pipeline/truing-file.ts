import type { Shrinkage } from '#finishing';
import type { TruingReport } from '#truing';
import { writtenFinding } from './draft-file.js';

/** What `truing.json` holds, of seam lines that may be grown for shrinkage; a draft without pieces has nothing to sew and is not sewable. */
export function truingFile(report: TruingReport | undefined, shrinkage?: Shrinkage): unknown {
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
  const grown =
    shrinkage === undefined || (shrinkage.warp === 0 && shrinkage.weft === 0) ? {} : { grownFor: shrinkage };
  return {
    ...rest,
    outline: outline.map(writtenOutline),
    findings: findings.map(writtenFinding),
    ...grown,
    sewable,
  };
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
