/** A fault of a JSON text, and where its first character stands. */
export interface JsonFault {
  readonly kind: 'syntax' | 'duplicate' | 'depth';
  readonly offset: number;
  /** What stands there, short. */
  readonly found: string;
  readonly says: string;
  readonly action: string;
  /** Where in the value: names and indexes from the root. */
  readonly path: readonly (string | number)[];
}

/** What may come next. */
type Turn = 'value' | 'first value or ]' | 'first name or }' | 'name' | 'colon' | 'comma or end' | 'end';

interface Frame {
  readonly close: '}' | ']';
  readonly names: Set<string>;
  /** Where the reading is in it; undefined before a name is read. */
  key: string | number | undefined;
}

const NUMBER = /-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?/y;
const WORD = /[-+]?[A-Za-z_$][\w$]*/y;
const SHORT_ESCAPES = '"\\/bfnrt';

/** More is not read by anybody. */
const DUPLICATES_MAX = 100;
const WORD_LENGTH_MAX = 60;
const PATH_LENGTH_MAX = 20;

/** Far deeper than any value of the contract; what is open costs memory. */
const DEPTH_MAX = 200;

/**
 * Where a text stops being JSON, and which names stand twice in one object.
 *
 * The engine's own parser says neither: its message may lack the position, and of two equal names it keeps the
 * last without a word.
 *
 * Shape      the duplicates in the order of the text, then at most one fault that ends the reading. Without
 *            such a one, JSON.parse takes the text.
 * Cost       one pass; memory for what is open. It does not recurse.
 * Source     RFC 8259.
 */
export function scanJson(text: string): JsonFault[] {
  return new JsonScan(text).run();
}

class JsonScan {
  private at = 0;
  private turn: Turn = 'value';
  private readonly frames: Frame[] = [];
  private readonly faults: JsonFault[] = [];

  constructor(private readonly text: string) {}

  run(): JsonFault[] {
    // Every turn takes at least one character or ends, so the text's length bounds the loop.
    for (;;) {
      this.skipSpace();
      const fault = this.take();
      if (fault === 'done') return this.faults;
      if (fault !== undefined) return [...this.faults, fault];
    }
  }

  private take(): JsonFault | 'done' | undefined {
    const next = this.text[this.at];
    if (next === undefined) return this.turn === 'end' ? 'done' : this.endsTooSoon();
    switch (this.turn) {
      case 'value':
        return this.takeValue(next);
      case 'first value or ]':
        return next === ']' ? this.close() : this.takeValue(next);
      case 'first name or }':
        return next === '}' ? this.close() : this.takeName(next);
      case 'name':
        return this.takeName(next);
      case 'colon':
        return next === ':' ? this.step('value') : this.unexpected('a colon');
      case 'comma or end':
        return this.takeCommaOrEnd(next);
      case 'end':
        return this.unexpected('the end of the text');
    }
  }

  private takeValue(next: string): JsonFault | undefined {
    if (next === '{') return this.open('}', 'first name or }');
    if (next === '[') return this.open(']', 'first value or ]');
    if (next === '"') return this.takeString() ?? this.afterValue();
    for (const literal of ['true', 'false', 'null']) {
      if (this.text.startsWith(literal, this.at) && this.match(WORD) === literal) {
        this.at += literal.length;
        return this.afterValue();
      }
    }
    const number = this.match(NUMBER);
    if (number === undefined) return this.unexpected('a value');
    this.at += number.length;
    return this.afterValue();
  }

  private takeName(next: string): JsonFault | undefined {
    if (next !== '"') return this.unexpected('a name in double quotes');
    const start = this.at;
    const fault = this.takeString();
    if (fault !== undefined) return fault;
    const name = JSON.parse(this.text.slice(start, this.at)) as string;
    const frame = this.frames[this.frames.length - 1];
    frame.key = name;
    if (frame.names.has(name) && this.faults.length < DUPLICATES_MAX) this.faults.push(this.duplicate(start));
    frame.names.add(name);
    this.turn = 'colon';
    return undefined;
  }

  private takeCommaOrEnd(next: string): JsonFault | undefined {
    const frame = this.frames[this.frames.length - 1];
    if (next === frame.close) return this.close();
    if (next !== ',') return this.unexpected(`a comma or ${frame.close}`);
    frame.key = typeof frame.key === 'number' ? frame.key + 1 : undefined;
    return this.step(frame.close === '}' ? 'name' : 'value');
  }

  /** Leaves `at` behind the closing quote. */
  private takeString(): JsonFault | undefined {
    for (this.at += 1; this.at < this.text.length; this.at++) {
      const letter = this.text[this.at];
      if (letter === '"') return this.step(this.turn);
      if (letter < ' ')
        return this.fault(
          'a control character',
          'Write it as \\n or \\t.',
          'a text holds a line break or a tab',
        );
      if (letter === '\\' && !this.skipEscape())
        return this.fault(
          `the escape ${this.text.slice(this.at, this.at + 2)}`,
          'Write a backslash as \\\\.',
        );
    }
    return this.endsTooSoon();
  }

  private skipEscape(): boolean {
    const letter = this.text[this.at + 1];
    if (letter === 'u' && /^[0-9a-fA-F]{4}$/.test(this.text.slice(this.at + 2, this.at + 6))) this.at += 5;
    else if (letter !== undefined && SHORT_ESCAPES.includes(letter)) this.at += 1;
    else return false;
    return true;
  }

  private open(close: '}' | ']', turn: Turn): JsonFault | undefined {
    if (this.frames.length === DEPTH_MAX) {
      const says = `the values are more than ${DEPTH_MAX} levels deep`;
      return { ...this.fault('a deeper level', 'Send a flatter value.', says), kind: 'depth' };
    }
    this.frames.push({ close, names: new Set(), key: close === ']' ? 0 : undefined });
    return this.step(turn);
  }

  private close(): undefined {
    this.frames.pop();
    this.at += 1;
    return this.afterValue();
  }

  private afterValue(): undefined {
    this.turn = this.frames.length === 0 ? 'end' : 'comma or end';
  }

  private step(turn: Turn): undefined {
    this.at += 1;
    this.turn = turn;
  }

  private skipSpace(): void {
    while (' \t\n\r'.includes(this.text[this.at] ?? 'end')) this.at += 1;
  }

  private match(pattern: RegExp): string | undefined {
    pattern.lastIndex = this.at;
    return pattern.exec(this.text)?.[0];
  }

  private unexpected(expected: string): JsonFault {
    const word = this.match(WORD);
    if (word !== undefined && /^[-+]?(nan|inf|infinity|none|undefined)$/i.test(word)) {
      const action = `JSON has no ${word}: send a number, or leave the field out.`;
      return this.fault(word, action, `${word} is not JSON`);
    }
    const found = word?.slice(0, WORD_LENGTH_MAX) ?? this.text.slice(this.at, this.at + 1);
    if (found === "'") return this.fault(found, 'Write text and names in double quotes.');
    if (found === '/' || found === '#') return this.fault(found, 'Leave comments out: JSON has none.');
    const before = this.text.slice(0, this.at).trimEnd().at(-1);
    if (before === ',' && (found === '}' || found === ']'))
      return this.fault(found, `Take away the comma before ${found}.`);
    return this.fault(found, `Write ${expected} there.`);
  }

  private endsTooSoon(): JsonFault {
    const open = this.frames.at(-1);
    const what = this.text.trim() === '' ? 'the text is empty' : 'the text ends too soon';
    const action =
      open === undefined ? 'Send a JSON object.' : `Close what is open with ${open.close}, or send the rest.`;
    return { ...this.fault('the end of the text', action, what), offset: this.text.length };
  }

  private duplicate(offset: number): JsonFault {
    const name = JSON.stringify(this.frames[this.frames.length - 1].key).slice(0, 60);
    return {
      kind: 'duplicate',
      offset,
      found: `${name} twice`,
      says: `${name} stands twice in one object`,
      action: 'Send it once; it is not for us to say which of them counts.',
      path: this.path(),
    };
  }

  private fault(
    found: string,
    action: string,
    says = `${JSON.stringify(found)} is not expected there`,
  ): JsonFault {
    return { kind: 'syntax', offset: this.at, found, says, action, path: this.path() };
  }

  private path(): (string | number)[] {
    return this.frames.slice(0, PATH_LENGTH_MAX).flatMap(({ key }) => (key === undefined ? [] : [key]));
  }
}
