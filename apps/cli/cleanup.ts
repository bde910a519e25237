/** What has to be undone at the end, the last first, whether the end is ours or an interrupt's. */
export class Cleanup {
  private readonly steps: (() => Promise<void>)[] = [];
  private running: Promise<void> | undefined;

  /** Undo this at the end; at once when the end has begun already. */
  async add(undo: () => Promise<void>): Promise<void> {
    this.steps.push(undo);
    if (this.running !== undefined) await undo();
  }

  /** Every step is tried; the first failure is thrown when all are through. */
  run(): Promise<void> {
    this.running ??= this.runAll();
    return this.running;
  }

  private async runAll(): Promise<void> {
    const failures: unknown[] = [];
    for (const undo of [...this.steps].reverse())
      await undo().catch((error: unknown) => failures.push(error));
    if (failures.length > 0) throw failures[0];
  }
}
