/** By the end of the name. Source: IANA media types registry; HPGL plot files have none and are octets. */
const MEDIA_TYPES: Readonly<Record<string, string>> = {
  json: 'application/json',
  svg: 'image/svg+xml',
  png: 'image/png',
  pdf: 'application/pdf',
  dxf: 'image/vnd.dxf',
  zip: 'application/zip',
};

export function mediaTypeOf(name: string): string {
  return MEDIA_TYPES[name.slice(name.lastIndexOf('.') + 1)] ?? 'application/octet-stream';
}
