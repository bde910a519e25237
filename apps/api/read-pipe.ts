import { Injectable, type PipeTransform } from '@nestjs/common';
import { readWith, type FieldProblem } from '#contracts';
import { invalid } from './api-error.js';

/**
 * Reads a parameter by one of our schemas, with all that is wrong with it at once.
 *
 * Not Nest's own pipe for such schemas: it is told the issues but not the value, and our answers say what was found.
 */
@Injectable()
export class ReadPipe implements PipeTransform {
  constructor(
    private readonly schema: Parameters<typeof readWith>[0],
    private readonly place: FieldProblem['in'],
  ) {}

  transform(value: unknown): unknown {
    const read = readWith(this.schema, value === undefined ? {} : { ...value });
    if (!read.ok) throw invalid(this.place, read.problems);
    return read.value;
  }
}
