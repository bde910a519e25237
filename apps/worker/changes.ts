import { EventEmitter } from 'node:events';

/** Word of rows that have changed, for whoever works on one. A hint: it may be lost. */
export class Changes {
  private readonly emitter = new EventEmitter().setMaxListeners(0);

  tell(id: string): void {
    this.emitter.emit(id);
  }

  /** The function returned ends the listening. */
  listen(id: string, onChange: () => void): () => void {
    this.emitter.on(id, onChange);
    return () => this.emitter.off(id, onChange);
  }
}
