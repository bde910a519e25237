"""How much curves changed their character, with numpy and no code of the product.

Usage: python3 curve-character.py CURVES.ndjson > SUMMARY.json

Each line of the input is {"ref", "curves": [{"name", "before", "after"}]}, both with four control points. The character of
a curve is its length times its curvature along the share of its length. Curves are walked in 4,000 chords; curvature is
the turn from one chord to the next over the way between their middles. Prints for each name the largest change at one
place over the largest of the curve before, and the curves that change to bending the other way more often than before.
"""
import json
import sys

import numpy as np

CHORDS = 4000
PLACES = np.linspace(0.0, 1.0, 801)
T = np.linspace(0.0, 1.0, CHORDS + 1)[:, None]
# A bend of less than this share of the curve's largest is straight: what chords leave of a bend that is nothing.
STRAIGHT = 1e-4


def character(cubic):
    p0, p1, p2, p3 = np.array(cubic, float)
    s = 1 - T
    points = s**3 * p0 + 3 * s * s * T * p1 + 3 * s * T * T * p2 + T**3 * p3
    chords = np.diff(points, axis=0)
    sizes = np.linalg.norm(chords, axis=1)
    angles = np.unwrap(np.arctan2(chords[:, 1], chords[:, 0]))
    middles = np.cumsum(sizes) - sizes / 2
    length = sizes.sum()
    turning = np.diff(angles) / np.diff(middles) * length
    at = (middles[:-1] + middles[1:]) / 2 / length
    return np.interp(PLACES, at, turning)


def changes_of_sign(values, straight):
    signs = np.sign(values[np.abs(values) > straight])
    return int((signs[1:] != signs[:-1]).sum())


def main(path):
    worst, bends, count = {}, [], 0
    with open(path) as file:
        for row in map(json.loads, file):
            for curve in row["curves"]:
                before, after = character(curve["before"]), character(curve["after"])
                most = float(np.abs(before).max())
                share = float(np.abs(after - before).max()) / most
                worst[curve["name"]] = max(worst.get(curve["name"], 0.0), share)
                count += 1
                straight = STRAIGHT * most
                if changes_of_sign(after, straight) > changes_of_sign(before, straight):
                    bends.append({"ref": row["ref"], "name": curve["name"]})
    json.dump({"curves": count, "worst": worst, "newBends": bends}, sys.stdout)


main(sys.argv[1])
