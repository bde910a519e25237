#!/usr/bin/env python3
"""Compute how the measures of real bodies go together, and write it as TypeScript.

    python3 scripts/fit-survey-limits.py BODIES.csv libs/measurements/survey-table.ts

BODIES.csv has the columns ref, sex and the measures in millimetres. The table in the repository was made from
every third row of the women's and men's public files of ANSUR II (US Army anthropometric survey 2012, report
NATICK/TR-15/007, public domain). Quantiles by numpy with linear interpolation; standard deviations and
correlations of the sample (n - 1). The least and the most of a proportion are those of all 6,068 bodies where they
are known (EXTREMES, computed from the whole public files), else those of the table.
"""
import csv
import sys

import numpy as np

MEASURES = ["waistGirth", "hipGirth", "thighGirth", "kneeGirth", "calfGirth", "ankleGirth", "heelGirth",
            "totalCrotchLength", "backCrotchLength", "waistHeight", "hipHeight", "insideLegLength", "kneeHeight",
            "stature"]
PERCENTS = [1, 5, 10, 25, 50, 75, 90, 95, 99]
PROPORTIONS = {
    "waistToHip": lambda b: b["waistGirth"] / b["hipGirth"],
    "thighToHip": lambda b: b["thighGirth"] / b["hipGirth"],
    "rise": lambda b: b["waistHeight"] - b["insideLegLength"],
    "crotchOverRise": lambda b: b["totalCrotchLength"] - 2 * (b["waistHeight"] - b["insideLegLength"]),
    "frontOverRise": lambda b: b["totalCrotchLength"] - b["backCrotchLength"]
    - (b["waistHeight"] - b["insideLegLength"]),
    "backOverRise": lambda b: b["backCrotchLength"] - (b["waistHeight"] - b["insideLegLength"]),
    "backOverFront": lambda b: 2 * b["backCrotchLength"] - b["totalCrotchLength"],
    "kneeToCrotch": lambda b: b["kneeHeight"] / b["insideLegLength"],
    "hipInRise": lambda b: (b["hipHeight"] - b["insideLegLength"]) / (b["waistHeight"] - b["insideLegLength"]),
}
# Least and most of all 1,986 women and 4,082 men.
EXTREMES = {
    "female": {"waistToHip": (0.70, 1.10), "thighToHip": (0.54, 0.68), "rise": (125, 276),
               "crotchOverRise": (126, 377), "frontOverRise": (-31, 186), "backOverRise": (78, 283),
               "kneeToCrotch": (0.535, 0.623)},
    "male": {"waistToHip": (0.75, 1.22), "thighToHip": (0.525, 0.687), "rise": (118, 283),
             "crotchOverRise": (78, 436), "frontOverRise": (-49, 202), "backOverRise": (54, 252),
             "kneeToCrotch": (0.53, 0.63)},
}


def short(value):
    return f"{value:.5g}"


def entry(sex, rows):
    lines = [f"  {sex}: {{", f"    bodies: {len(rows)},", "    proportions: {"]
    for name, of in PROPORTIONS.items():
        values = np.array([of(row) for row in rows])
        least, most = EXTREMES[sex].get(name, (values.min(), values.max()))
        marks = [min(least, values.min()), *np.percentile(values, PERCENTS), max(most, values.max())]
        lines.append(f"      {name}: [{', '.join(short(mark) for mark in marks)}],")
    table = np.array([[row[name] for name in MEASURES] for row in rows])
    correlations = np.corrcoef(table.T)
    lines += ["    },", "    measures: {"]
    for i, name in enumerate(MEASURES):
        with_earlier = ", ".join(f"{value:.4f}" for value in correlations[i][:i])
        lines.append(f"      {name}: {{ meanMm: {table[:, i].mean():.1f}, sdMm: {table[:, i].std(ddof=1):.2f}, "
                     f"withEarlier: [{with_earlier}] }},")
    return lines + ["    },", "  },"]


def main(source, out):
    rows = [{name: value if name in ("ref", "sex") else float(value) for name, value in row.items()}
            for row in csv.DictReader(open(source, newline=""))]
    lines = [
        "// Written by scripts/fit-survey-limits.py; change that and run it again.",
        "//",
        "// Source: every third row of the public files of ANSUR II (US Army anthropometric survey 2012, report",
        "// NATICK/TR-15/007, public domain): military adults, waist at the navel, crotch height pressed. The first and",
        "// the last mark of most proportions are those of all 6,068 bodies.",
        "import type { SurveyTable } from './survey.js';",
        "",
        f"export const MARKS_PERCENT = [0, {', '.join(map(str, PERCENTS))}, 100] as const;",
        "",
        "export const SURVEY_TABLE: SurveyTable = {",
    ]
    for sex in ("female", "male"):
        lines += entry(sex, [row for row in rows if row["sex"] == sex])
    with open(out, "w", newline="\n") as file:
        file.write("\n".join([*lines, "};", ""]))


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    main(sys.argv[1], sys.argv[2])
