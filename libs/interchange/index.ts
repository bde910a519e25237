export * from './foreign-pattern.js';
export { decimalText } from './decimal-text.js';
export { dxfText, readDxf, unitsSaid, type DxfReaderOptions } from './dxf-reader.js';
export { boxOf, offRing } from './rings.js';
export { readRul, type GradeRuleTable, type RulReading } from './rul-reader.js';
export { DXF_LAYERS, writeDxf, type DxfOptions, type DxfPattern } from './dxf-writer.js';
export {
  HPGL2_COORDINATE_MAX,
  HPGL_COORDINATE_MAX,
  UNITS_PER_MM,
  writeHpgl,
  type HpglOptions,
  type PlotWindow,
} from './hpgl-writer.js';
export { notDxf } from './not-dxf.js';
export { sevenBit } from './seven-bit.js';
export * from './svg-writer.js';
export { writeZip, type ZipEntry } from './zip-writer.js';
