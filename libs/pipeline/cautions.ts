import { girthForStepMm, LOW_FORK_MM, stepLengthMm, STEP_SHARE_OF_STATURE } from '#fit';
import type { CompleteMeasures } from '#measurements';
import { forkWidthMm, type Block, type Finding } from '#pattern';

/**
 * Room for a step at the fork of a lowered trouser, as a finding when it is short.
 *
 * The leg is taken as thick as at its thickest, so the room is rather more than said.
 */
export function stepRoomFindings(block: Block, measures: CompleteMeasures): Finding[] {
  const { levels, front, back } = block;
  if (measures.insideLegLength - levels.crotch < LOW_FORK_MM) return [];
  const stepMm = STEP_SHARE_OF_STATURE * measures.stature;
  const legs = {
    legGirthMm: measures.thighGirth,
    belowHipJointMm: measures.trochanterHeight - levels.crotch,
    legLengthMm: measures.trochanterHeight,
  };
  const garmentGirthMm = 2 * (forkWidthMm(front) + forkWidthMm(back));
  const possibleMm = stepLengthMm({ ...legs, garmentGirthMm });
  if (possibleMm >= stepMm) return [];
  const moreMm = girthForStepMm(legs, stepMm) - garmentGirthMm;
  return [
    {
      code: 'STEP_ROOM_SHORT',
      level: 'warning',
      message: `At the fork both legs together are ${moreMm.toFixed(0)} mm too narrow for an ordinary step.`,
      action:
        'Lower the fork less, widen the leg, or tell the wearer: a short step on stairs is a trip hazard.',
      place: { part: 'fork' },
      numbers: { moreMm },
    },
  ];
}
