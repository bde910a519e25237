"""Measure drafted pieces again with numpy and shapely, sharing no code with the product.

Usage: python3 measure-pieces.py PIECES.ndjson > SUMMARY.json

Every curve is walked in 1,000 chords, widths are sections of those chords, outlines are judged by shapely. Prints the
largest residual per measure, how many outlines are not simple, the shortest edge, and the largest difference between
seams that are sewn to each other after the alteration.
"""
import json
import sys

import numpy as np
from shapely.geometry import Polygon

CHORDS = 1000
T = np.linspace(0.0, 1.0, CHORDS + 1)[:, None]


def points(edge):
    if "line" in edge:
        return np.array(edge["line"], float)
    p0, p1, p2, p3 = np.array(edge["cubic"], float)
    s = 1 - T
    return s**3 * p0 + 3 * s * s * T * p1 + 3 * s * T * T * p2 + T**3 * p3


def length(edge):
    return float(np.linalg.norm(np.diff(points(edge), axis=0), axis=1).sum())


def seam(piece, role):
    return sum(length(e) for e in piece["edges"] if e["role"] == role)


def section(piece, y, roles):
    xs = []
    for edge in piece["edges"]:
        if edge["role"] not in roles:
            continue
        p = points(edge)
        lo, hi = p[:-1], p[1:]
        d0, d1 = lo[:, 1] - y, hi[:, 1] - y
        hit = (d0 * d1 <= 0) & (d0 != d1)
        xs += list(lo[hit, 0] + d0[hit] / (d0[hit] - d1[hit]) * (hi[hit, 0] - lo[hit, 0]))
    return xs


def outline(piece):
    ring = np.concatenate([points(e)[:-1] for e in piece["edges"]])
    return Polygon(ring[:: 1])


def figures(block, levels):
    front, back = block["front"], block["back"]
    both = lambda f: f(front) + f(back)
    width = lambda p, y: max(section(p, y, ("inseam", "rise"))) - min(section(p, y, ("outseam",)))
    fork_width = lambda p: p["landmarks"]["fork"][0] - min(section(p, p["landmarks"]["fork"][1], ("outseam",)))
    return {
        "waist": 2 * both(lambda p: seam(p, "waist")),
        "hip": 2 * both(lambda p: width(p, levels["hip"])),
        "thigh": both(fork_width),
        "knee": both(lambda p: width(p, levels["knee"])),
        "hem": both(lambda p: seam(p, "hem")),
        "frontRise": seam(front, "rise"),
        "backRise": seam(back, "rise"),
        "totalRise": both(lambda p: seam(p, "rise")),
        "inseamFront": seam(front, "inseam"),
        "inseamBack": seam(back, "inseam"),
        "outseamFront": seam(front, "outseam"),
        "outseamBack": seam(back, "outseam"),
    }


def levels_of(block):
    # Hip and knee lie where the drafted side hip and knee landmarks are.
    marks = block["front"]["landmarks"]
    return {"hip": marks["sideHip"][1], "knee": marks["kneeInseam"][1]}


def main(path):
    worst, shortest, not_simple, bodies = {}, float("inf"), 0, 0
    seam_worst = {"inseam": 0.0, "outseam": 0.0}
    for line in open(path, encoding="utf-8"):
        body = json.loads(line)
        if "block" not in body or body["block"] is None:
            continue
        bodies += 1
        measured = figures(body["block"], levels_of(body["block"]))
        for name, target in body["targets"].items():
            worst[name] = max(worst.get(name, 0.0), abs(measured[name] - target))
        for stage in ("block", "altered"):
            pieces = body.get(stage)
            if not pieces:
                continue
            for role in ("front", "back"):
                polygon = outline(pieces[role])
                not_simple += 0 if polygon.is_valid else 1
                shortest = min(shortest, min(length(e) for e in pieces[role]["edges"]))
            if stage == "altered":
                for name in seam_worst:
                    difference = abs(seam(pieces["back"], name) - seam(pieces["front"], name))
                    seam_worst[name] = max(seam_worst[name], difference)
    json.dump(
        {"bodies": bodies, "worstResidual": worst, "notSimple": not_simple, "shortestEdge": shortest, "alteredSeamDifference": seam_worst},
        sys.stdout,
    )


main(sys.argv[1])
