#!/usr/bin/env python3
"""Fit the table by which missing body measures are estimated, and write it as TypeScript.

    python3 scripts/fit-estimates.py BODIES.csv libs/measurements/estimate-table.ts

BODIES.csv has the columns ref, sex and the measures in millimetres. The table in the repository was made from
every third row of the women's and men's public files of ANSUR II (US Army anthropometric survey 2012, report
NATICK/TR-15/007, public domain). Ordinary least squares by numpy, once for the women, once for the men and once
for both with each sex weighing the same, because the survey has twice as many men as women. The standard
deviation is that of the residual with six degrees of freedom taken off.
"""
import csv
import sys

import numpy as np

PREDICTORS = ["waistGirth", "hipGirth", "totalCrotchLength", "waistHeight", "insideLegLength"]
TARGETS = ["thighGirth", "kneeGirth", "calfGirth", "ankleGirth", "heelGirth", "backCrotchLength", "hipHeight",
           "kneeHeight", "stature"]


def fit(rows, target, weight):
    x = np.array([[1.0] + [float(row[name]) for name in PREDICTORS] for row in rows])
    y = np.array([float(row[target]) for row in rows])
    w = np.array([weight(row) for row in rows])
    w = w * len(rows) / w.sum()
    root = np.sqrt(w)
    beta, *_ = np.linalg.lstsq(x * root[:, None], y * root, rcond=None)
    residual = y - x @ beta
    mean = (w * y).sum() / w.sum()
    r2 = 1 - (w * residual**2).sum() / (w * (y - mean) ** 2).sum()
    sd = np.sqrt((w * residual**2).sum() / (len(rows) - len(beta)))
    return beta, r2, sd


def entry(target, beta, r2, sd):
    slopes = ", ".join(f"{b:.5f}" for b in beta[1:])
    return (f"    {target}: {{ interceptMm: {beta[0]:.3f}, slopes: [{slopes}], "
            f"sdMm: {sd:.1f}, r2: {r2:.3f} }},")


def main(source, out):
    rows = list(csv.DictReader(open(source, newline="")))
    women = [row for row in rows if row["sex"] == "female"]
    men = [row for row in rows if row["sex"] == "male"]
    size = {"female": len(women), "male": len(men)}
    groups = [("female", women, len(women), lambda row: 1.0), ("male", men, len(men), lambda row: 1.0),
              ("unspecified", women + men, len(women) + len(men), lambda row: 1.0 / size[row["sex"]])]
    lines = [
        "// Written by scripts/fit-estimates.py; change that and run it again.",
        "//",
        "// Source: every third row of the public files of ANSUR II (US Army anthropometric survey 2012, report",
        "// NATICK/TR-15/007, public domain): military adults, waist at the navel, crotch height pressed.",
        "import type { EstimateTable } from './regression.js';",
        "",
        "export const ESTIMATE_TABLE: EstimateTable = {",
    ]
    for name, members, count, weight in groups:
        lines += [f"  {name}: {{", f"    bodies: {count},"]
        lines += [entry(target, *fit(members, target, weight)) for target in TARGETS]
        lines += ["  },"]
    lines += ["};", ""]
    with open(out, "w", newline="\n") as file:
        file.write("\n".join(lines))


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    main(sys.argv[1], sys.argv[2])
