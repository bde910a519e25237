import { at, cubic, line } from '#geometry';
import {
  canonicalPiece,
  type Block,
  type EdgeRole,
  type GivenEdge,
  type Piece,
  type PieceRole,
} from '#pattern';

/**
 * The worked example of the drop-crotch alteration: an invented body (waist 740, hip 1000), the block drawn for it,
 * and the same block with its crotch dropped half-way to the knee. Coordinates to 1e-4 mm, as it was worked.
 */

/** Name, role, then x and y of every defining point: two make a line, four a cubic. */
type Row = readonly [name: string, role: EdgeRole, ...coordinates: number[]];

const BEFORE_FRONT: readonly Row[] = [
  ['rise', 'rise', 85.1116, 1044.1715, 102.1894, 834.7908],
  ['crotch', 'rise', 102.1894, 834.7908, 106.0849, 787.0299, 122.1413, 755.8498, 147.8078, 746.2042],
  ['crotchE', 'rise', 147.8078, 746.2042, 147.8277, 746.1967],
  ['inseamU', 'inseam', 147.8277, 746.1967, 127.1922, 650.2816, 108.5527, 553.0454, 105, 455],
  ['inseamL', 'inseam', 105, 455, 89.6, 30],
  ['hem', 'hem', 89.6, 30, -89.6, 30],
  ['outL', 'outseam', -89.6, 30, -105, 455],
  ['outM', 'outseam', -105, 455, -109.5697, 581.1112, -147.7243, 697.3339, -147.8277, 835],
  ['outU', 'outseam', -147.8277, 835, -147.8743, 897.0584, -140.0693, 959.9251, -128.5317, 1041.8613],
  ['waist1', 'waist', -128.5317, 1041.8613, -97.4391, 1034.8912, -65.2129, 1036.2845, -33.181, 1041.8261],
  ['dartS1', 'dart', -33.181, 1041.8261, -24.7082, 940.5603],
  ['dartC1', 'dart', -24.7082, 940.5603, -10.3283, 1041.1574],
  ['waist0', 'waist', -10.3283, 1041.1574, 21.4779, 1039.4334, 53.9926, 1041.6333, 85.1116, 1044.1715],
];

const BEFORE_BACK: readonly Row[] = [
  ['rise', 'rise', 36.6439, 1092.765, 96.1388, 834.9845],
  ['crotch', 'rise', 96.1388, 834.9845, 106.4073, 790.493, 144.4622, 755.7079, 209.6812, 731.1982],
  ['crotchE', 'rise', 209.6812, 731.1982, 209.7458, 731.1739],
  ['inseamU', 'inseam', 209.7458, 731.1739, 162.4855, 646.0942, 118.5243, 552.2608, 115, 455],
  ['inseamL', 'inseam', 115, 455, 99.6, 30],
  ['hem', 'hem', 99.6, 30, -99.6, 30],
  ['outL', 'outseam', -99.6, 30, -115, 455],
  ['outM', 'outseam', -115, 455, -119.5951, 581.8124, -173.4485, 696.569, -173.8648, 835],
  ['outU', 'outseam', -173.8648, 835, -174.05, 896.5964, -171.5506, 958.2801, -167.7767, 1040.3222],
  ['waist1', 'waist', -167.7767, 1040.3222, -136.6274, 1041.4024, -107.2832, 1052.0427, -78.5843, 1065.4926],
  ['dartS1', 'dart', -78.5843, 1065.4926, -52.9778, 927.7132],
  ['dartC1', 'dart', -52.9778, 927.7132, -52.5717, 1067.8513],
  ['waist0', 'waist', -52.5717, 1067.8513, -22.6916, 1075.532, 7.0817, 1085.9421, 36.6439, 1092.765],
];

const AFTER_FRONT: readonly Row[] = [
  ['rise', 'rise', 79.2808, 1057.9919, 272.2553, 600.5984],
  ['inseamU', 'inseam', 272.2553, 600.5984, 176.4738, 557.4958, 116.0765, 391.9381, 97.3, 242.5],
  ['inseamL', 'inseam', 97.3, 242.5, 70.6, 30],
  ['hem', 'hem', 70.6, 30, -89.6, 30],
  ['outL', 'outseam', -89.6, 30, -142.9223, 746.1967],
  ['outM', 'outseam', -142.9223, 746.1967, -145.1399, 775.9822, -147.8147, 817.7223, -147.8277, 835],
  ['outU', 'outseam', -147.8277, 835, -147.8743, 897.0584, -140.0693, 959.9251, -128.5317, 1041.8613],
  ['waist1', 'waist', -128.5317, 1041.8613, -97.4391, 1034.8912, -65.2129, 1036.2845, -33.181, 1041.8261],
  ['dartS1', 'dart', -33.181, 1041.8261, -24.7082, 940.5603],
  ['dartC1', 'dart', -24.7082, 940.5603, -10.3283, 1041.1574],
  ['waist0r', 'waist', -10.3283, 1041.1574, -5.5671, 1040.8993, -0.79, 1040.7292, 3.9959, 1040.6349],
  ['waist0b', 'waist', 3.9959, 1040.6349, 25.168, 1040.218, 55.774, 1048.0743, 79.2808, 1057.9919],
];

const AFTER_BACK: readonly Row[] = [
  ['rise', 'rise', 32.3259, 1101.7847, 272.2553, 600.5984],
  ['inseamU', 'inseam', 272.2553, 600.5984, 176.4738, 557.4958, 116.0765, 391.9381, 97.3, 242.5],
  ['inseamL', 'inseam', 97.3, 242.5, 70.6, 30],
  ['hem', 'hem', 70.6, 30, -99.6, 30],
  ['outL', 'outseam', -99.6, 30, -166.8519, 746.1967],
  ['outM', 'outseam', -166.8519, 746.1967, -169.4417, 773.7772, -173.8285, 822.917, -173.8648, 835],
  ['outU', 'outseam', -173.8648, 835, -174.05, 896.5964, -171.4958, 959.4722, -167.7218, 1041.5143],
  ['waist1', 'waist', -167.7218, 1041.5143, -136.5726, 1042.5946, -107.2832, 1052.0427, -78.5843, 1065.4926],
  ['dartS1', 'dart', -78.5843, 1065.4926, -52.9778, 927.7132],
  ['dartC1', 'dart', -52.9778, 927.7132, -52.5717, 1067.8513],
  ['waist0r', 'waist', -52.5717, 1067.8513, -48.0966, 1069.0016, -43.6239, 1070.2132, -39.1539, 1071.4647],
  ['waist0b', 'waist', -39.1539, 1071.4647, -24.5323, 1075.5587, 8.7422, 1090.4946, 32.3259, 1101.7847],
];

export const WORKED_BLOCK: Block = {
  name: 'worked example',
  levels: { hip: 835, crotch: 746.1967, knee: 455, hem: 30 },
  front: pieceFrom('front', BEFORE_FRONT),
  back: pieceFrom('back', BEFORE_BACK),
};

export const WORKED_BLOCK_DROPPED: Block = {
  name: 'worked example, crotch dropped',
  levels: { hip: 835, crotch: 600.5984, knee: 455, hem: 30 },
  front: pieceFrom('front', AFTER_FRONT),
  back: pieceFrom('back', AFTER_BACK),
};

function pieceFrom(role: PieceRole, rows: readonly Row[]): Piece {
  const edges = rows.map(([id, edgeRole, ...xy]): GivenEdge => ({
    id,
    role: edgeRole,
    curve: curveFrom(xy),
  }));
  return canonicalPiece(role, edges, { joinMm: 0, lengthToleranceMm: 0.001 }).piece;
}

function curveFrom(xy: readonly number[]): GivenEdge['curve'] {
  const points = xy.flatMap((x, i) => (i % 2 === 0 ? [at(x, xy[i + 1])] : []));
  return points.length === 2 ? line(points[0], points[1]) : cubic(points[0], points[1], points[2], points[3]);
}
