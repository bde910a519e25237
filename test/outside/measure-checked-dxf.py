"""Measure trouser legs in DXF files again, sharing no code with the product.

Usage: python3 measure-checked-dxf.py CHECKED.ndjson > SUMMARY.json

Each line of CHECKED.ndjson names a DXF file and holds what the product said of it: lengths of outlines and seams, corner
angles after sewing, notches along their seams, and the cubics it drew through the points of the file.

Three ways to the same numbers:
  file     ezdxf reads the points of the sew line (cut line, where there is none); shapely measures rings and areas as
           polygons. Compared with the product's polygon figures.
  cubics   numpy walks the product's cubics in 2,000 chords an edge; angles come from their end tangents; shapely projects the
           notches that ezdxf read onto those chords. Compared with the product's lengths, angles and notch distances.
  points   what the points of the file say without any of the product's curves: each chord is lengthened to the arc that
           turns as much as its neighbours do, and the direction at a corner is that of a cubic through its nearest points.
           Compared with the product's lengths and angles: this includes how the product draws curves through points. What
           eight points of two decimals say of a direction is worth half a degree; angles are given, not judged by it.
  drawn    numpy walks the cubics that the file was written from, which the product did not have when it read the file.
Prints the largest differences, and how many of each were compared.
"""
import json
import math
import sys

import ezdxf
import numpy as np
from shapely.geometry import LineString, Point, Polygon

CHORDS = 2000
T = np.linspace(0.0, 1.0, CHORDS + 1)[:, None]
SHORT_MM = 1.0

CORNERS = {
    "fork": ("rise", "inseam"),
    "sideWaist": ("outseam", "waist"),
    "sideHem": ("hem", "outseam"),
    "inseamHem": ("inseam", "hem"),
    "centreFrontWaist": ("waist", "rise"),
    "centreBackWaist": ("waist", "rise"),
}


class Largest:
    def __init__(self):
        self.figures = {}

    def add(self, name, difference, where):
        figure = self.figures.setdefault(name, {"count": 0, "largest": 0.0, "where": ""})
        figure["count"] += 1
        if not abs(difference) <= figure["largest"]:
            figure["largest"], figure["where"] = abs(difference), where


def read(path):
    document = ezdxf.readfile(path)
    pieces = {}
    for insert in document.modelspace().query("INSERT"):
        piece = {"1": [], "14": [], "turns": [], "notches": []}
        for entity in document.blocks[insert.dxf.name]:
            layer, kind = entity.dxf.layer, entity.dxftype()
            if kind == "POLYLINE" and layer in ("1", "14"):
                points = [tuple(v.dxf.location)[:2] for v in entity.vertices]
                piece[layer].append(points[:-1] if points[0] == points[-1] else points)
            elif kind == "POINT" and layer == "2":
                piece["turns"].append(tuple(entity.dxf.location)[:2])
            elif kind == "POINT" and layer == "4":
                piece["notches"].append(tuple(entity.dxf.location)[:2])
        pieces[insert.dxf.name] = piece
    return pieces


def walked(curve):
    p = np.array(curve, float)
    if len(p) == 2:
        return p[0] + (p[1] - p[0]) * T
    s = 1 - T
    return s**3 * p[0] + 3 * s * s * T * p[1] + 3 * s * T * T * p[2] + T**3 * p[3]


def length(points):
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def tangent(curve):
    p = np.array(curve, float)
    for q in p[1:]:
        if np.linalg.norm(q - p[0]) > 1e-9:
            return (q - p[0]) / np.linalg.norm(q - p[0])
    raise ValueError("a curve without a direction")


def between(back, on):
    """The angle between two directions that leave a corner, in degrees, 0 to 360, counter-clockwise from `on` to `back`."""
    return math.degrees(math.atan2(on[0] * back[1] - on[1] * back[0], float(np.dot(on, back)))) % 360


def leaving(edges):
    """The direction of the first edge long enough to have one."""
    for curve in edges:
        if length(walked(curve)) >= SHORT_MM:
            return tangent(curve)
    return tangent(edges[0])


def straights(points):
    """Which chords are straight lines of their own: long, and much longer than their neighbours."""
    mm = np.linalg.norm(np.diff(points, axis=0), axis=1)
    near = [max([mm[k] for k in (i - 1, i + 1) if 0 <= k < len(mm)], default=0.0) for i in range(len(mm))]
    return [i for i in range(len(mm)) if mm[i] >= 40 and mm[i] >= 4 * near[i]]


def arcs(points):
    """The length of a smooth line through points: every chord as the arc that turns as its neighbours say."""
    d = np.diff(points, axis=0)
    mm = np.linalg.norm(d, axis=1)
    if len(mm) < 3:
        return float(mm.sum())
    heading = np.unwrap(np.arctan2(d[:, 1], d[:, 0]))
    # Curvature at each inner point: what is turned there over half of both chords; carried on straight to the ends.
    bend = np.diff(heading) / ((mm[:-1] + mm[1:]) / 2)
    bend = np.concatenate([[2 * bend[0] - bend[1]], bend, [2 * bend[-1] - bend[-2]]])
    turn = (bend[:-1] + bend[1:]) / 2 * mm
    return float((mm * (1 + turn**2 / 24)).sum())


def first_direction(points):
    """The direction at the first of some points: of the cubic by chord length that passes it and lies nearest to the rest."""
    near = points[:POINTS_AT_CORNER]
    mm = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(near, axis=0), axis=1))])
    powers = range(1, min(4, len(near)))
    matrix = np.stack([(mm[1:] / mm[-1]) ** k for k in powers], axis=1)
    return np.linalg.lstsq(matrix, near[1:] - near[0], rcond=None)[0][0]


# Fewer, and the decimals of the file turn the direction; more, and the cubic no longer follows the curve.
POINTS_AT_CORNER = 8


def runs_of(leg, ring, turns):
    """For each edge of the product, the points of the file between its ends, split where the file has turn points."""
    points = np.array(ring, float)
    index = lambda q: int(np.argmin(np.linalg.norm(points - np.array(q, float), axis=1)))
    corner = {index(q) for q in turns if np.min(np.linalg.norm(points - np.array(q), axis=1)) < 0.02}
    count = len(points)
    forward = Polygon(ring).exterior.is_ccw is False
    order = list(range(count)) if forward else list(range(count))[::-1]
    place = {vertex: k for k, vertex in enumerate(order)}
    result = []
    for edge in leg["edges"]:
        first, last = place[index(edge["curve"][0])], place[index(edge["curve"][-1])]
        steps = (last - first) % count
        chain = [order[(first + k) % count] for k in range(steps + 1)]
        result.append((edge["role"], chain))
    return points, corner, result


def joined(chains):
    line = list(chains[0])
    for chain in chains[1:]:
        line += chain[1:]
    return line


def smooth_parts(points, corner, chain):
    """The points of a chain from turn point to turn point, straight lines by themselves."""
    stops = [k for k in range(len(chain)) if k in (0, len(chain) - 1) or chain[k] in corner]
    for first, last in zip(stops, stops[1:]):
        part = points[chain[first : last + 1]]
        cuts = sorted({0, len(part) - 1, *(k for i in straights(part) for k in (i, i + 1))})
        for low, high in zip(cuts, cuts[1:]):
            yield part[low : high + 1]


def smooth_length(points, corner, chain):
    return sum(arcs(part) for part in smooth_parts(points, corner, chain))


def seam_chain(runs, role):
    """Edges of one role in the order of the outline, beginning where the role begins."""
    count = len(runs)
    start = next(i for i in range(count) if runs[i][0] == role and runs[i - 1][0] != role)
    chain = []
    for k in range(count):
        if runs[(start + k) % count][0] != role:
            break
        chain.append(runs[(start + k) % count][1])
    return chain


def by_role(leg, role):
    """All edges of a role, from where it begins, going round."""
    edges, count = leg["edges"], len(leg["edges"])
    start = next(i for i in range(count) if edges[i]["role"] == role and edges[i - 1]["role"] != role)
    ordered = [edges[(start + k) % count] for k in range(count)]
    return [edge["curve"] for edge in ordered if edge["role"] == role]


def side_edges(leg, corner, way):
    """Curves that leave a corner, the nearest first: way -1 back along the outline, 1 on."""
    into, out_of = CORNERS[corner]
    edges, count = leg["edges"], len(leg["edges"])
    at = next(i for i in range(count) if edges[i]["role"] == out_of and edges[i - 1]["role"] == into)
    role = into if way < 0 else out_of
    found, i = [], at - 1 if way < 0 else at
    for _ in range(count):
        if edges[i % count]["role"] != role:
            break
        curve = edges[i % count]["curve"]
        found.append((i % count, curve[::-1] if way < 0 else curve))
        i += way
    return found


def corner_angle(back, on, said):
    angle = between(leaving([c for _, c in back]), leaving([c for _, c in on]))
    return min((angle, 360 - angle), key=lambda a: abs(a - said))


def main(path):
    found = Largest()
    patterns = 0
    for line in open(path):
        said = json.loads(line)
        patterns += 1
        pieces = read(said["file"])
        name = said["name"]
        for piece in said["pieces"]:
            drawn = pieces[piece["piece"]]
            cut = max((Polygon(p) for p in drawn["1"]), key=lambda p: p.area)
            found.add("file: cut line", cut.exterior.length - piece["cutLineMm"], name)
            found.add("file: area, per cent", 100 * (cut.area / piece["areaMm2"] - 1), name)
            if piece["sewLineMm"] is not None:
                sew = max((Polygon(p) for p in drawn["14"]), key=lambda p: p.area)
                found.add("file: sew line", sew.exterior.length - piece["sewLineMm"], name)
        drawn_legs = {leg["role"]: leg for leg in said["drawn"]}
        legs, points_mm, points_way = {}, {}, {}
        for leg in said["legs"]:
            role, drawn = leg["role"], pieces[leg["piece"]]
            legs[role] = leg
            ring = max(drawn["14"] or drawn["1"], key=lambda p: Polygon(p).area)
            points, corner, runs = runs_of(leg, ring, drawn["turns"])
            for seam in ("rise", "inseam", "hem", "outseam"):
                chain = joined(seam_chain(runs, seam))
                points_mm[role, seam] = smooth_length(points, corner, chain)
            points_mm[role, "waist"] = sum(smooth_length(points, corner, c) for r, c in runs if r == "waist")
            points_way[role] = (points, corner, runs)
        total = lambda role, seam: sum(length(walked(c)) for c in by_role(legs[role], seam))
        for seam in said["seams"]:
            kind = seam["seam"]
            if kind in ("inseam", "outseam"):
                for side in ("first", "second"):
                    role, mm = seam[side]["piece"], seam[side]["lengthMm"]
                    found.add("cubics: long seam", total(role, kind) - mm, f"{name} {role} {kind}")
                    drawn_mm = sum(length(walked(c)) for c in by_role(drawn_legs[role], kind))
                    found.add("drawn: long seam", drawn_mm - mm, f"{name} {role} {kind}")
                    found.add("points: long seam", points_mm[role, kind] - mm, f"{name} {role} {kind}")
                difference = total("back", kind) - total("front", kind)
                found.add("cubics: difference of a pair", difference - seam["difference"], f"{name} {kind}")
                for notch in seam["notches"]:
                    for role, mm in (("front", notch["frontFromHemMm"]), ("back", notch["backFromHemMm"])):
                        chain = np.concatenate([walked(c)[:-1] for c in by_role(legs[role], kind)] + [np.array([by_role(legs[role], kind)[-1][-1]])])
                        line_ = LineString(chain if kind == "outseam" else chain[::-1])
                        nearest = min((abs(line_.project(Point(q)) - mm) for q in pieces[legs[role]["piece"]]["notches"] if line_.distance(Point(q)) < 60))
                        found.add("cubics: notch along its seam", nearest, f"{name} {role} {notch['name']}")
            elif kind.startswith("centre"):
                role = seam["first"]["piece"]
                found.add("cubics: rise", total(role, "rise") - seam["first"]["lengthMm"], f"{name} {role}")
                found.add("points: rise", points_mm[role, "rise"] - seam["first"]["lengthMm"], f"{name} {role}")
            elif kind == "waist":
                both = 2 * (total("front", "waist") + total("back", "waist"))
                found.add("cubics: whole waist", both - seam["first"]["lengthMm"], name)
                both = 2 * (points_mm["front", "waist"] + points_mm["back", "waist"])
                found.add("points: whole waist", both - seam["first"]["lengthMm"], name)
            elif kind == "dart":
                role, number = seam["first"]["piece"], int(seam["first"]["part"].split()[1].rstrip(",")) - 1
                sides = by_role(legs[role], "dart")[2 * number : 2 * number + 2]
                for side, curve in zip(("first", "second"), sides):
                    found.add("cubics: dart leg", length(walked(curve)) - seam[side]["lengthMm"], f"{name} {role}")
        for corner in said["corners"]:
            at = corner["at"]
            roles = {"centreFrontWaist": ["front"], "centreBackWaist": ["back"]}.get(at, ["front", "back"])
            sums = {"cubics": 0.0, "points": 0.0}
            for role, angle in zip(roles, corner["angles"]):
                back, on = (side_edges(legs[role], at, way) for way in (-1, 1))
                exact = corner_angle(back, on, angle)
                drawn_angle = corner_angle(*(side_edges(drawn_legs[role], at, way) for way in (-1, 1)), angle)
                found.add("drawn: corner of a piece", drawn_angle - angle, f"{name} {role} {at}")
                found.add("cubics: corner of a piece", exact - angle, f"{name} {role} {at}")
                points, turns, runs = points_way[role]
                ways = []
                for edges, way in ((back, -1), (on, 1)):
                    chain = joined([runs[i][1][::way] for i, _ in edges])
                    # An edge too short to have a direction has no say in either.
                    first = next(p for p in smooth_parts(points, turns, chain) if length(p) >= SHORT_MM)
                    ways.append(first_direction(first))
                rough = between(*ways)
                rough = min((rough, 360 - rough), key=lambda a: abs(a - angle))
                found.add("points: corner of a piece", rough - angle, f"{name} {role} {at}")
                sums["cubics"] += exact
                sums["points"] += rough
            found.add("cubics: corner after sewing", sums["cubics"] - corner["sum"], f"{name} {at}")
            found.add("points: corner after sewing", sums["points"] - corner["sum"], f"{name} {at}")
    print(json.dumps({"patterns": patterns, "figures": found.figures}))


main(sys.argv[1])
