// Written by scripts/fit-estimates.py; change that and run it again.
//
// Source: every third row of the public files of ANSUR II (US Army anthropometric survey 2012, report
// NATICK/TR-15/007, public domain): military adults, waist at the navel, crotch height pressed.
import type { EstimateTable } from './regression.js';

export const ESTIMATE_TABLE: EstimateTable = {
  female: {
    bodies: 662,
    thighGirth: {
      interceptMm: -51.215,
      slopes: [-0.01963, 0.68056, 0.07913, -0.23028, 0.21176],
      sdMm: 19.2,
      r2: 0.868,
    },
    kneeGirth: {
      interceptMm: 15.255,
      slopes: [-0.04405, 0.35871, 0.18549, -0.30287, 0.30469],
      sdMm: 20.4,
      r2: 0.642,
    },
    calfGirth: {
      interceptMm: 45.255,
      slopes: [-0.01472, 0.25185, 0.13754, -0.08171, 0.1003],
      sdMm: 18.4,
      r2: 0.565,
    },
    ankleGirth: {
      interceptMm: 59.196,
      slopes: [-0.01285, 0.10532, 0.04435, 0.0446, -0.01379],
      sdMm: 12.0,
      r2: 0.336,
    },
    heelGirth: {
      interceptMm: 78.817,
      slopes: [-0.00573, 0.08618, 0.02164, 0.02121, 0.14606],
      sdMm: 10.4,
      r2: 0.527,
    },
    backCrotchLength: {
      interceptMm: 1.277,
      slopes: [-0.07151, 0.11609, 0.33338, 0.33213, -0.31741],
      sdMm: 17.9,
      r2: 0.599,
    },
    hipHeight: {
      interceptMm: 8.499,
      slopes: [0.10735, -0.02656, -0.10928, 0.43464, 0.51333],
      sdMm: 15.8,
      r2: 0.883,
    },
    kneeHeight: {
      interceptMm: -6.914,
      slopes: [0.04062, -0.03187, 0.02923, 0.1272, 0.39758],
      sdMm: 8.7,
      r2: 0.884,
    },
    stature: {
      interceptMm: 358.274,
      slopes: [0.11815, 0.04912, -0.12516, 1.25567, -0.04569],
      sdMm: 22.7,
      r2: 0.876,
    },
  },
  male: {
    bodies: 1361,
    thighGirth: {
      interceptMm: -50.0,
      slopes: [-0.02645, 0.74939, 0.04727, -0.15712, 0.08569],
      sdMm: 19.1,
      r2: 0.891,
    },
    kneeGirth: {
      interceptMm: 65.245,
      slopes: [0.01019, 0.3435, 0.01087, -0.02843, 0.009],
      sdMm: 15.6,
      r2: 0.751,
    },
    calfGirth: {
      interceptMm: 94.178,
      slopes: [0.0258, 0.27924, 0.01222, -0.04872, 0.03841],
      sdMm: 18.4,
      r2: 0.627,
    },
    ankleGirth: {
      interceptMm: 68.572,
      slopes: [-0.00037, 0.11585, 0.01865, 0.03802, -0.01123],
      sdMm: 10.9,
      r2: 0.445,
    },
    heelGirth: {
      interceptMm: 71.056,
      slopes: [0.01745, 0.10212, -0.03056, 0.14165, 0.02442],
      sdMm: 10.9,
      r2: 0.566,
    },
    backCrotchLength: {
      interceptMm: 27.19,
      slopes: [-0.05961, 0.02856, 0.39874, 0.26606, -0.20501],
      sdMm: 20.5,
      r2: 0.515,
    },
    hipHeight: {
      interceptMm: 10.961,
      slopes: [0.08188, -0.07738, -0.01275, 0.26563, 0.71653],
      sdMm: 19.7,
      r2: 0.837,
    },
    kneeHeight: {
      interceptMm: -19.66,
      slopes: [0.04985, -0.02022, -0.03567, 0.18865, 0.3604],
      sdMm: 10.9,
      r2: 0.841,
    },
    stature: {
      interceptMm: 391.518,
      slopes: [0.10553, 0.02578, -0.03877, 1.11066, 0.10661],
      sdMm: 25.3,
      r2: 0.858,
    },
  },
  unspecified: {
    bodies: 2023,
    thighGirth: {
      interceptMm: -94.305,
      slopes: [0.04207, 0.63968, 0.03236, -0.04913, 0.06652],
      sdMm: 19.9,
      r2: 0.872,
    },
    kneeGirth: {
      interceptMm: 4.405,
      slopes: [0.0271, 0.30052, 0.06978, -0.04306, 0.08582],
      sdMm: 18.8,
      r2: 0.674,
    },
    calfGirth: {
      interceptMm: 21.652,
      slopes: [0.06979, 0.18844, 0.04546, 0.08753, -0.01419],
      sdMm: 19.4,
      r2: 0.59,
    },
    ankleGirth: {
      interceptMm: 36.532,
      slopes: [0.03158, 0.0657, 0.01297, 0.12928, -0.06063],
      sdMm: 11.9,
      r2: 0.438,
    },
    heelGirth: {
      interceptMm: 22.702,
      slopes: [0.07972, 0.0092, -0.04346, 0.2559, -0.01332],
      sdMm: 12.4,
      r2: 0.701,
    },
    backCrotchLength: {
      interceptMm: -16.721,
      slopes: [-0.02512, 0.0287, 0.3333, 0.40099, -0.31474],
      sdMm: 19.7,
      r2: 0.559,
    },
    hipHeight: {
      interceptMm: 58.24,
      slopes: [0.02533, 0.02891, -0.02916, 0.18863, 0.70774],
      sdMm: 18.9,
      r2: 0.88,
    },
    kneeHeight: {
      interceptMm: -11.811,
      slopes: [0.04119, -0.02238, -0.00262, 0.15602, 0.37988],
      sdMm: 9.9,
      r2: 0.909,
    },
    stature: {
      interceptMm: 304.408,
      slopes: [0.2118, -0.07532, -0.14397, 1.41254, -0.09251],
      sdMm: 25.5,
      r2: 0.923,
    },
  },
};
