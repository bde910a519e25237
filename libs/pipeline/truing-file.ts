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
  const { sewable, ...rest } = checks;
  return { ...rest, findings: findings.map(writtenFinding), sewable };
}
