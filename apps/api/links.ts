/** Addresses of things as callers see them. */
export class Links {
  private base = '';

  /** Known once the service listens; nothing is answered before. */
  setBase(url: string): void {
    this.base = url.replace(/\/+$/, '');
  }

  to(...parts: readonly string[]): string {
    return [`${this.base}/v1`, ...parts.map(encodeURIComponent)].join('/');
  }
}
