import type { DxfLimits, DxfProblem, UnreadPart } from './foreign-pattern.js';

/** What is said while one file is read: problems and what was left out, both bounded. */
export class DxfLog {
  private readonly problemList: DxfProblem[] = [];
  private readonly unreadByWhat = new Map<
    string,
    { line: number; what: string; why: string; count: number }
  >();
  private more = 0;
  private pointCount = 0;

  constructor(readonly limits: DxfLimits) {}

  problem(problem: DxfProblem): void {
    if (this.problemList.length < this.limits.problems) this.problemList.push(problem);
    else this.more += 1;
  }

  unread(line: number, what: string, why: string): void {
    const isListed = this.unreadByWhat.has(`${what} ${why}`) || this.unreadByWhat.size < UNREAD_MAX;
    const [part, reason] = isListed ? [what, why] : OTHERS;
    const key = `${part} ${reason}`;
    const known = this.unreadByWhat.get(key);
    if (known === undefined) this.unreadByWhat.set(key, { line, what: part, why: reason, count: 1 });
    else known.count += 1;
  }

  /** Counts points that are about to be made; false when the file has too many, which is said once. */
  takePoints(count: number, line: number): boolean {
    const before = this.pointCount;
    this.pointCount += count;
    if (this.pointCount <= this.limits.points) return true;
    if (before <= this.limits.points)
      this.problem({
        code: 'DXF_TOO_MANY_POINTS',
        line,
        found: `more than ${this.limits.points} points`,
        allowed: `at most ${this.limits.points} points`,
        message: `The lines of the file have more than ${this.limits.points} points.`,
        action: 'Send one style a file, and leave dense copies of curves out.',
      });
    return false;
  }

  problems(): DxfProblem[] {
    if (this.more === 0) return [...this.problemList];
    return [
      ...this.problemList,
      {
        code: 'DXF_MORE_PROBLEMS',
        line: 0,
        found: `${this.more} more problems`,
        allowed: 'none',
        message: `There are ${this.more} more problems that are not listed.`,
        action: 'Correct those that are, and send the file again.',
      },
    ];
  }

  unreadParts(): UnreadPart[] {
    return [...this.unreadByWhat.values()].sort((a, b) => a.line - b.line);
  }
}

/** More kinds than this help nobody; one more entry counts the rest. */
const UNREAD_MAX = 60;
const OTHERS = ['other parts', 'there are more kinds of unread parts than are listed'] as const;

/** A value of a file as it is quoted in a message: short, and printable. */
export function quoted(value: string): string {
  const plain = value.replace(/[^\x20-\x7e]/gu, '?');
  return `"${plain.length > 40 ? `${plain.slice(0, 37)}...` : plain}"`;
}
