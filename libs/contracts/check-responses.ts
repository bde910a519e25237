import { z } from 'zod';
import { CHECK_OUTPUTS } from './check-order.js';
import { count, id, link, pageOf, time } from './response-parts.js';
import { DRAFT_FILE, DRAFT_STATES, FINDING_COUNTS } from './draft-responses.js';

const LEVEL = z.enum(['info', 'warning', 'stop']);

export const CHECK_STATE = z.enum(DRAFT_STATES).meta({
  id: 'CheckState',
  description: 'Where a check stands; needs attention when anything is off or asked.',
});

export const CHECK_PROGRESS = z
  .strictObject({
    stage: z.string().meta({ description: 'What is being worked on.' }),
    fraction: z.number().min(0).max(1).meta({ description: 'Done of the whole check, 0 to 1.' }),
  })
  .meta({ id: 'CheckProgress', description: 'How far the check has come.' });

const PLACE = z
  .strictObject({
    piece: z.string().optional().meta({ description: 'The piece by its block in the file.' }),
    part: z.string().optional().meta({ description: 'A seam, corner or mark by its trade name.' }),
    at: z
      .strictObject({ x: z.number(), y: z.number() })
      .meta({ id: 'PlaceOnPiece', description: 'In mm, in the frame of the piece as the file has it.' })
      .optional(),
    line: z.int().optional().meta({ description: 'Line of the file.' }),
  })
  .meta({ id: 'CheckPlace', description: 'Where on the pattern.' });

export const CHECK_FINDING = z
  .strictObject({
    number: z.int().min(1).meta({ description: 'As it is drawn on the sheet.' }),
    code: z.string().meta({ description: 'Stable name of what was found.' }),
    level: LEVEL.meta({ description: 'How serious it is, by the rules it was held to.' }),
    message: z.string().meta({ description: 'One sentence in trade words.' }),
    action: z.string().meta({ description: 'What to do about it.' }),
    place: PLACE,
    numbers: z
      .record(z.string(), z.number())
      .meta({ description: 'What was measured; names end in the unit.' }),
    tolerance: z
      .strictObject({ value: z.number(), unit: z.enum(['mm', 'degrees']) })
      .meta({ id: 'CheckTolerance', description: 'How far it may be off.' })
      .optional(),
    basis: z.string().meta({ description: 'Where the tolerance or the rule comes from.' }),
    correction: z
      .string()
      .optional()
      .meta({ description: 'What to send in "correct" to have it corrected.' }),
    rule: z
      .strictObject({
        by: z.enum(['severity', 'ignored']),
        was: LEVEL.meta({ description: 'The level without the rule.' }),
        until: z.string().optional().meta({ description: 'Last day on which it is ignored.' }),
        reason: z.string().optional(),
      })
      .meta({ id: 'FindingRule', description: 'The rule that gave it another level.' })
      .optional(),
  })
  .meta({ id: 'CheckFinding', description: 'One thing to say about a pattern from outside.' });

export const CHECK_RESULT = z
  .strictObject({
    sewable: z.boolean().meta({ description: 'Nothing that decides is off, as far as it could be judged.' }),
    judged: z
      .enum(['trouser', 'pieces only', 'nothing'])
      .meta({ description: 'Whether seams were compared, or each piece judged by itself.' }),
    findings: z
      .array(CHECK_FINDING)
      .meta({ description: 'Stops first; at most 1000, all are in truing.json.' }),
    pieces: z
      .array(
        z
          .strictObject({
            piece: z.string().meta({ description: 'Its block in the file.' }),
            name: z.string(),
            kind: z.string().meta({ description: 'What it was taken for.' }),
            basis: z.string().meta({ description: 'What that rests on.' }),
            confidence: z.number().meta({ description: '0 to 1.' }),
          })
          .meta({ id: 'CheckedPiece', description: 'What a piece was taken for.' }),
      )
      .meta({ description: 'What each piece was taken for.' }),
    corrections: z
      .array(
        z
          .strictObject({
            code: z.string().meta({ description: 'To be sent in "correct".' }),
            words: z.string(),
            piece: z.string().optional(),
            part: z.string(),
            byMm: z.number().meta({ description: 'By how much, in mm.' }),
          })
          .meta({ id: 'OfferedCorrection', description: 'A correction that is offered.' }),
      )
      .meta({ description: 'Corrections that are offered.' }),
    moved: z
      .array(
        z
          .strictObject({
            operation: z.string(),
            piece: z.string().optional().meta({ description: 'Front or back; left out where it is both.' }),
            part: z.string(),
            byMm: z.number().meta({ description: 'By how much, in mm.' }),
            beforeMm: z.number().optional().meta({ description: 'Of a length: what it was.' }),
            afterMm: z.number().optional().meta({ description: 'Of a length: what it is.' }),
          })
          .meta({ id: 'MovedPart', description: 'What a correction has moved.' }),
      )
      .meta({ description: 'What was moved, where corrections were asked for.' }),
  })
  .meta({ id: 'CheckResult', description: 'What was found; of the corrected file where one was made.' });

const PINNED = z
  .strictObject({ name: z.string(), version: z.int().min(1) })
  .meta({ id: 'PinnedProfile', description: 'A rules profile as it stood when the check was accepted.' });

export const CHECK = z
  .strictObject({
    id: id('chk'),
    state: CHECK_STATE,
    sequence: z.int().min(1).meta({ description: 'Goes up with every visible change.' }),
    progress: CHECK_PROGRESS.optional().meta({
      description: 'How far it has come; left out once it has ended.',
    }),
    name: z.string().optional().meta({ description: 'What the sender calls the pattern.' }),
    findingCounts: FINDING_COUNTS,
    result: CHECK_RESULT.optional().meta({ description: 'Once it has one; lists leave it out.' }),
    profiles: z.array(PINNED).meta({ description: 'Which rules it is held to, the later over the earlier.' }),
    judgedOn: z.string().meta({ description: 'The day by which the ignore list is read, YYYY-MM-DD.' }),
    correct: z.array(z.string()).meta({ description: 'Corrections that were asked for.' }),
    outputs: z.array(z.enum(CHECK_OUTPUTS)).meta({ description: 'What is drawn.' }),
    reference: z.string().optional().meta({ description: "The sender's own word for it." }),
    styleId: z.string().optional().meta({ description: "The sender's own id of the style." }),
    versionId: z.string().optional().meta({ description: "The sender's own id of this state of it." }),
    engineVersion: z.string().optional(),
    errorReason: z.string().optional().meta({ description: 'Why it failed.' }),
    createdAt: time(),
    updatedAt: time(),
    startedAt: time().optional(),
    finishedAt: time().optional(),
    links: z
      .strictObject({ self: link(), files: link(), events: link() })
      .meta({ id: 'CheckLinks', description: 'Where the rest of a check is.' }),
  })
  .meta({ id: 'Check', description: 'A pattern from outside, and whether it will sew together.' });

export const CHECK_FILES = z
  .strictObject({ items: z.array(DRAFT_FILE) })
  .meta({ id: 'CheckFiles', description: 'The files of a check, the pattern as it came among them.' });

const CHANGED_NUMBER = z
  .strictObject({ name: z.string(), before: z.number().optional(), after: z.number().optional() })
  .meta({ id: 'ChangedNumber', description: 'A number that differs, in the unit its name ends in.' });

export const COMPARISON = z
  .strictObject({
    earlierId: id('chk').meta({ description: 'The check that the other is held against.' }),
    laterId: id('chk').meta({ description: 'The check whose comparison this is.' }),
    came: z.array(CHECK_FINDING).meta({ description: 'Findings of the later one only.' }),
    went: z.array(CHECK_FINDING).meta({ description: 'Findings of the earlier one only.' }),
    changed: z
      .array(
        z
          .strictObject({ before: CHECK_FINDING, after: CHECK_FINDING, numbers: z.array(CHANGED_NUMBER) })
          .meta({
            id: 'ChangedFinding',
            description: 'A finding of both, with another level or other numbers.',
          }),
      )
      .meta({ description: 'Findings of both that differ.' }),
    unchanged: count().meta({ description: 'How many findings are in both alike.' }),
  })
  .meta({ id: 'CheckComparison', description: 'What came, went and changed between two versions.' });

export const RULES_PROFILE = z
  .strictObject({
    name: z.string(),
    version: z.int().min(1).meta({ description: 'Goes up with every change.' }),
    tolerances: z
      .record(z.string(), z.unknown())
      .meta({ description: 'As they were sent; what is left out is as the trade has it.' }),
    severities: z
      .array(
        z
          .strictObject({ code: z.string(), level: LEVEL })
          .meta({ id: 'Severity', description: 'How serious a finding is.' }),
      )
      .meta({ description: 'How serious findings are.' }),
    ignore: z
      .array(
        z
          .strictObject({
            code: z.string(),
            piece: z.string().optional(),
            part: z.string().optional(),
            until: z.string().meta({ description: 'Last day on which it is ignored.' }),
            reason: z.string(),
            hasEnded: z.boolean().optional().meta({
              description: 'True where its last day is over: it ignores nothing of a check of today.',
            }),
          })
          .meta({ id: 'IgnoredFinding', description: 'A finding that is accepted for a while.' }),
      )
      .meta({ description: 'Findings that are accepted for a while.' }),
    createdAt: time(),
    updatedAt: time(),
    links: z.strictObject({ self: link() }).meta({ id: 'RulesProfileLinks', description: 'Where it is.' }),
  })
  .meta({ id: 'RulesProfile', description: 'What a shop, or one of its customers, holds patterns to.' });

export const RULES_PROFILES = z
  .strictObject({ items: z.array(RULES_PROFILE) })
  .meta({ id: 'RulesProfiles', description: 'The rules profiles of a shop, by name.' });

export const CHECK_PAGE = pageOf('CheckPage', CHECK);

export type CheckAnswer = z.output<typeof CHECK>;
export type CheckFindingAnswer = z.output<typeof CHECK_FINDING>;
export type ComparisonAnswer = z.output<typeof COMPARISON>;
export type RulesProfileAnswer = z.output<typeof RULES_PROFILE>;
