// Written by scripts/fit-survey-limits.py; change that and run it again.
//
// Source: every third row of the public files of ANSUR II (US Army anthropometric survey 2012, report
// NATICK/TR-15/007, public domain): military adults, waist at the navel, crotch height pressed. The first and
// the last mark of most proportions are those of all 6,068 bodies.
import type { SurveyTable } from './survey.js';

export const MARKS_PERCENT = [0, 1, 5, 10, 25, 50, 75, 90, 95, 99, 100] as const;

export const SURVEY_TABLE: SurveyTable = {
  female: {
    bodies: 662,
    proportions: {
      waistToHip: [
        0.7, 0.72723, 0.75309, 0.76898, 0.79957, 0.83529, 0.88009, 0.91896, 0.93895, 0.99748, 1.1044,
      ],
      thighToHip: [
        0.54, 0.56188, 0.57202, 0.5773, 0.58838, 0.60303, 0.61545, 0.62757, 0.63495, 0.64951, 0.68,
      ],
      rise: [125, 147, 167, 172, 184, 198.5, 210.75, 223, 230, 247, 276],
      crotchOverRise: [126, 143.61, 163.05, 176, 198.25, 223.5, 248, 275, 291, 319.34, 377],
      frontOverRise: [-31, 1.83, 27, 43.1, 61, 80, 101, 119, 126, 153.95, 186],
      backOverRise: [78, 95.61, 110, 117, 128, 143, 159, 175, 186, 199.78, 283],
      backOverFront: [-48, -18.39, 8, 18, 39, 61, 87, 116, 132, 159, 185],
      kneeToCrotch: [
        0.535, 0.5481, 0.55458, 0.55861, 0.56598, 0.57351, 0.58252, 0.5905, 0.59529, 0.60352, 0.623,
      ],
      hipInRise: [
        -0.057143, 0.055469, 0.12444, 0.15273, 0.2037, 0.25145, 0.30494, 0.37379, 0.42064, 0.50315, 0.70918,
      ],
    },
    measures: {
      waistGirth: { meanMm: 859.1, sdMm: 99.0, withEarlier: [] },
      hipGirth: { meanMm: 1020.1, sdMm: 71.64, withEarlier: [0.8098] },
      thighGirth: { meanMm: 615.2, sdMm: 52.58, withEarlier: [0.7517, 0.9293] },
      kneeGirth: { meanMm: 399.9, sdMm: 33.94, withEarlier: [0.5952, 0.7854, 0.8293] },
      calfGirth: { meanMm: 373.2, sdMm: 27.72, withEarlier: [0.5528, 0.7367, 0.7729, 0.8526] },
      ankleGirth: { meanMm: 216.0, sdMm: 14.68, withEarlier: [0.3637, 0.5414, 0.545, 0.67, 0.7608] },
      heelGirth: {
        meanMm: 310.5,
        sdMm: 15.01,
        withEarlier: [0.3773, 0.5337, 0.5204, 0.5851, 0.5977, 0.6304],
      },
      totalCrotchLength: {
        meanMm: 619.7,
        sdMm: 41.04,
        withEarlier: [0.2894, 0.6005, 0.5544, 0.5404, 0.5523, 0.4631, 0.4215],
      },
      backCrotchLength: {
        meanMm: 342.0,
        sdMm: 28.12,
        withEarlier: [0.0721, 0.3936, 0.3628, 0.3225, 0.374, 0.374, 0.3199, 0.7315],
      },
      waistHeight: {
        meanMm: 981.3,
        sdMm: 49.07,
        withEarlier: [0.0286, 0.221, 0.1775, 0.1836, 0.2314, 0.2764, 0.5755, 0.4344, 0.3959],
      },
      hipHeight: {
        meanMm: 834.7,
        sdMm: 45.8,
        withEarlier: [0.2559, 0.3081, 0.2915, 0.2569, 0.2636, 0.2466, 0.6079, 0.2574, 0.1938, 0.8705],
      },
      insideLegLength: {
        meanMm: 783.7,
        sdMm: 44.19,
        withEarlier: [0.1464, 0.2376, 0.2115, 0.2102, 0.221, 0.2311, 0.5984, 0.2238, 0.17, 0.9085, 0.9205],
      },
      kneeHeight: {
        meanMm: 450.0,
        sdMm: 25.33,
        withEarlier: [
          0.2081, 0.2861, 0.2579, 0.2571, 0.263, 0.2545, 0.6201, 0.3014, 0.2062, 0.8817, 0.9018, 0.9298,
        ],
      },
      stature: {
        meanMm: 1628.7,
        sdMm: 64.25,
        withEarlier: [
          0.2261, 0.3586, 0.2827, 0.2875, 0.3441, 0.3809, 0.6292, 0.4151, 0.3492, 0.913, 0.8438, 0.8615,
          0.8451,
        ],
      },
    },
  },
  male: {
    bodies: 1361,
    proportions: {
      waistToHip: [0.75, 0.80175, 0.82687, 0.84284, 0.87234, 0.91466, 0.95996, 0.99731, 1.02, 1.0607, 1.2201],
      thighToHip: [
        0.525, 0.55945, 0.57794, 0.58631, 0.59859, 0.61275, 0.62574, 0.63725, 0.6467, 0.66308, 0.687,
      ],
      rise: [118, 162.6, 177, 184, 197, 210, 226, 239, 247, 260.4, 283],
      crotchOverRise: [78, 109, 134, 146, 168, 196, 227, 258, 278, 316.8, 436],
      frontOverRise: [-49, -23.4, -3, 10, 28, 52, 79, 104, 116, 145.8, 202],
      backOverRise: [54, 88, 106, 113, 127, 144, 161, 179, 189, 206.4, 252],
      backOverFront: [-49, -21.4, 13, 31, 61, 93, 122, 146, 164, 186, 215],
      kneeToCrotch: [0.53, 0.54654, 0.55542, 0.56, 0.56783, 0.57688, 0.58717, 0.59565, 0.6012, 0.61339, 0.63],
      hipInRise: [
        -0.12994, -0.019104, 0.040724, 0.07489, 0.13, 0.19665, 0.26596, 0.32653, 0.36842, 0.42434, 0.52406,
      ],
    },
    measures: {
      waistGirth: { meanMm: 937.3, sdMm: 111.68, withEarlier: [] },
      hipGirth: { meanMm: 1019.0, sdMm: 75.18, withEarlier: [0.8697] },
      thighGirth: { meanMm: 624.6, sdMm: 57.91, withEarlier: [0.8196, 0.9417] },
      kneeGirth: { meanMm: 409.2, sdMm: 31.19, withEarlier: [0.7668, 0.8654, 0.8779] },
      calfGirth: { meanMm: 391.5, sdMm: 30.07, withEarlier: [0.7155, 0.789, 0.7987, 0.8314] },
      ankleGirth: { meanMm: 228.6, sdMm: 14.56, withEarlier: [0.5507, 0.6557, 0.6385, 0.7234, 0.8025] },
      heelGirth: { meanMm: 343.0, sdMm: 16.45, withEarlier: [0.4696, 0.5905, 0.55, 0.6261, 0.606, 0.6952] },
      totalCrotchLength: {
        meanMm: 621.6,
        sdMm: 46.17,
        withEarlier: [0.5923, 0.7189, 0.669, 0.619, 0.5572, 0.528, 0.4783],
      },
      backCrotchLength: {
        meanMm: 356.1,
        sdMm: 29.46,
        withEarlier: [0.1993, 0.3591, 0.3227, 0.2958, 0.2788, 0.3437, 0.3358, 0.657],
      },
      waistHeight: {
        meanMm: 1057.5,
        sdMm: 51.08,
        withEarlier: [-0.0105, 0.1666, 0.0977, 0.1083, 0.0914, 0.2214, 0.5483, 0.3393, 0.4014],
      },
      hipHeight: {
        meanMm: 888.4,
        sdMm: 48.69,
        withEarlier: [0.0811, 0.1733, 0.1273, 0.1231, 0.1106, 0.1748, 0.5245, 0.1989, 0.1529, 0.8586],
      },
      insideLegLength: {
        meanMm: 846.5,
        sdMm: 45.43,
        withEarlier: [0.0109, 0.1373, 0.0797, 0.0872, 0.0824, 0.176, 0.5197, 0.1363, 0.1947, 0.9063, 0.9051],
      },
      kneeHeight: {
        meanMm: 488.9,
        sdMm: 27.4,
        withEarlier: [
          0.1221, 0.2186, 0.1639, 0.1594, 0.1596, 0.2191, 0.5681, 0.2211, 0.201, 0.8613, 0.8928, 0.9025,
        ],
      },
      stature: {
        meanMm: 1757.4,
        sdMm: 67.01,
        withEarlier: [
          0.1771, 0.3136, 0.2125, 0.2403, 0.2171, 0.3427, 0.615, 0.3954, 0.4011, 0.9061, 0.806, 0.8419,
          0.8118,
        ],
      },
    },
  },
};
