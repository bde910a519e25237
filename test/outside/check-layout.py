"""Second opinion on markers by shapely: reads lines of {request, length, placements}, answers a line for each.

A layout of the published form: a shape is mirrored (x -> -x) if so marked, turned counter-clockwise about its own
origin, then moved. Shares no code with the product.
"""
import json
import math
import sys
from collections import Counter

from shapely.geometry import Polygon
from shapely.strtree import STRtree


def place(outline, p):
    angle = math.radians(p["turn"])
    c, s = math.cos(angle), math.sin(angle)
    if p["turn"] % 90 == 0:
        c, s = round(c), round(s)
    corners = []
    for x, y in outline:
        x = -x if p["mirrored"] else x
        corners.append((p["x"] + x * c - y * s, p["y"] + x * s + y * c))
    return Polygon(corners)


def check(job):
    request, placements = job["request"], job["placements"]
    cloth = request["cloth"]
    by_id = {piece["id"]: piece for piece in request["pieces"]}
    shapes = [place(by_id[p["piece"]]["outline"], p) for p in placements]
    overlap = 0.0
    nearest = math.inf
    tree = STRtree(shapes)
    index = {id(shape): i for i, shape in enumerate(shapes)}
    gap = cloth.get("gap", 0)
    for i, shape in enumerate(shapes):
        for other in tree.query(shape.buffer(gap + 1)):
            if index[id(other)] <= i:
                continue
            overlap += shape.intersection(other).area
            nearest = min(nearest, shape.distance(other))
    selvedge, end = cloth.get("selvedge", 0), cloth.get("endMargin", 0)
    outside = 0.0
    for shape in shapes:
        left, bottom, right, top = shape.bounds
        outside = max(outside, end - left, selvedge - bottom)
        outside = max(outside, right - (job["length"] - end), top - (cloth["width"] - selvedge))
    wanted, laid = Counter(), Counter((p["piece"], p["mirrored"]) for p in placements)
    for garment in request["garments"]:
        for piece in garment["pieces"]:
            wanted[(piece["piece"], False)] += piece["plain"]
            wanted[(piece["piece"], True)] += piece.get("mirrored", 0)
    turned_wrong = 0
    for p in placements:
        piece = by_id[p["piece"]]
        off = min(abs((p["turn"] - turn + 180) % 360 - 180) for turn in piece["turns"])
        turned_wrong += off > piece.get("tilt", 0) + 1e-9
    against_nap = 0
    nap, ways = cloth.get("nap", "free"), {}
    for p in placements:
        # The grain as drawn is the x axis: where do (0, 0) and (1, 0) come to lie?
        along = math.cos(math.radians(p["turn"])) * (-1 if p["mirrored"] else 1)
        way = 1 if along > 0.7 else -1 if along < -0.7 else 0
        wanted_way = 1 if nap == "one-way" else ways.setdefault(p["garment"], way)
        against_nap += nap != "free" and (way == 0 or way != wanted_way)
    return {
        "overlapArea": overlap,
        "nearest": None if math.isinf(nearest) else nearest,
        "outside": outside,
        "demandMet": +wanted == +laid,
        "turnedWrong": turned_wrong,
        "againstNap": against_nap,
        "utilisation": sum(shape.area for shape in shapes) / (cloth["width"] * job["length"]),
    }


for line in sys.stdin:
    print(json.dumps(check(json.loads(line))))
