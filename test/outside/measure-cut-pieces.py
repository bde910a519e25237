"""Measure cut pieces again with numpy and shapely, which share no code with the product.

Reads one JSON object a line: { "case", "cornerMm", "uniformMm" or null, "pieces": [ { "id", "cut": [[x, y]...], "area",
"runs": [ { "seam", "curves": [[[x, y] x 2 or 4]...], "widths": [[fromStart, width]...] } ], "darts": [...],
"notches": [ { "name", "seam", "foot", "at" } ] } ] }. Writes a summary as JSON.
"""
import json
import sys

import numpy as np
from shapely.geometry import LineString, Point, Polygon

STEP_MM = 2.0


def evaluated(curve, count):
    t = np.linspace(0, 1, count)[:, None]
    p = np.array(curve, float)
    if len(p) == 2:
        return p[0] * (1 - t) + p[1] * t
    s = 1 - t
    return s**3 * p[0] + 3 * s * s * t * p[1] + 3 * s * t * t * p[2] + t**3 * p[3]


def dense(curves):
    points = [evaluated(curve, 2 if len(curve) == 2 else 1500) for curve in curves]
    return np.vstack([points[0]] + [chain[1:] for chain in points[1:]])


def cumulated(points):
    return np.concatenate([[0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])


def at(points, along, distances):
    """The points at seam distances: a row for each, or one point for one distance."""
    return np.stack([np.interp(distances, along, points[:, 0]), np.interp(distances, along, points[:, 1])], axis=-1)


def outwards(points, along, distances):
    a = at(points, along, np.maximum(0, distances - 0.05))
    b = at(points, along, np.minimum(along[-1], distances + 0.05))
    u = (b - a) / np.hypot(*(b - a).T)[:, None]
    return np.stack([-u[:, 1], u[:, 0]], axis=-1)


def reach(origin, direction, ring, limit):
    """How far from the origin a ray first meets the ring."""
    ray = LineString([origin, origin + direction * limit])
    met = ray.intersection(ring)
    return Point(origin).distance(met) if not met.is_empty else float("nan")


summary = {
    "cases": 0,
    "pieces": 0,
    "samples": 0,
    "worstAllowance": 0.0,
    "notSimple": 0,
    "seamOutside": 0,
    "worstEnd": 0.0,
    "ends": 0,
    "worstNotch": 0.0,
    "worstPartner": 0.0,
    "partners": 0,
    "worstArea": 0.0,
    "worstUniformArea": 0.0,
    "uniform": 0,
    "worstTurnUp": 0.0,
    "worst": {},
}


def worst(key, value, where):
    if not value <= summary[key]:
        summary[key] = float(value)
        summary["worst"][key] = where


def check_piece(case, piece, ends, stations):
    cut = Polygon(piece["cut"])
    ring = LineString(piece["cut"] + piece["cut"][:1])
    summary["pieces"] += 1
    summary["notSimple"] += 0 if cut.is_valid else 1
    seam_points, runs = [], []
    for i, run in enumerate(piece["runs"]):
        points = dense(run["curves"])
        runs.append((run, points, cumulated(points)))
        seam_points.extend(points[:-1].tolist())
    hull = Polygon(seam_points)
    worst("worstArea", abs(cut.area - piece["area"]) / cut.area, f"{case['case']} {piece['id']}")
    if case["contained"] and not cut.buffer(1e-6).contains(hull):
        summary["seamOutside"] += 1
        summary["worst"]["seamOutside"] = f"{case['case']} {piece['id']}"
    for run, points, along in runs:
        stations_mm = [w[0] for w in run["widths"]]
        widths_mm = [w[1] for w in run["widths"]]
        away = case["cornerMm"]
        # All samples of a run at once: python spends more on a call than numpy on the numbers.
        distances = np.arange(away, along[-1] - away, STEP_MM)
        if len(distances) == 0:
            continue
        wanted = np.interp(distances, stations_mm, widths_mm)
        samples = at(points, along, distances)
        if len(run["widths"]) == 1:
            measured = np.array([ring.distance(Point(x, y)) for x, y in samples.tolist()])
        else:
            rays = zip(samples, outwards(points, along, distances))
            measured = np.array([reach(p, direction, ring, 200) for p, direction in rays])
        off = np.abs(measured - wanted)
        summary["samples"] += len(distances)
        # Not a number is the worst of all, and argmax finds it first.
        most = int(np.argmax(off))
        worst("worstAllowance", off[most], f"{case['case']} {piece['id']} {run['seam']} {distances[most]}")
    if piece["id"] not in ("front", "back"):
        return
    by_seam = {}
    for run, points, along in runs:
        by_seam.setdefault(run["seam"], []).append((run, points, along))
    for seam, end in (("inseam", "start"), ("inseam", "end"), ("outseam", "start"), ("outseam", "end")):
        run, points, along = by_seam[seam][0 if end == "start" else -1]
        far = along[-1]
        p = at(points, along, 0 if end == "start" else far)
        q = at(points, along, 0.05 if end == "start" else far - 0.05)
        direction = (p - q) / np.hypot(*(p - q))
        ends.setdefault((seam, end), []).append(reach(p, direction, ring, 300))
    for notch in piece["notches"]:
        foot = Point(notch["foot"])
        if notch["seam"] not in by_seam:
            continue
        lines = [(LineString(points), run, along) for run, points, along in by_seam[notch["seam"]]]
        line, run, along = min(lines, key=lambda each: each[0].distance(foot))
        worst("worstNotch", line.distance(foot), f"{case['case']} {piece['id']} {notch['name']} off the seam")
        worst("worstNotch", ring.distance(Point(notch["at"])), f"{case['case']} {piece['id']} {notch['name']} off the cut")
        if notch["name"] in ("hem fold",) or "dart" in notch["name"]:
            continue
        s = line.project(foot)
        width = np.interp(s, [w[0] for w in run["widths"]], [w[1] for w in run["widths"]])
        worst("worstNotch", abs(foot.distance(Point(notch["at"])) - width), f"{case['case']} {notch['name']} width")
        if notch["seam"] in ("inseam", "outseam"):
            from_hem = along[-1] - s if notch["seam"] == "inseam" else s
            stations.setdefault((notch["seam"], notch["name"]), []).append(from_hem)
    check_uniform(case, piece, cut, hull)
    if case["turnedBack"]:
        check_turn_up(case, piece, by_seam, ring)


def check_uniform(case, piece, cut, hull):
    """Shapely's own offset of the whole seam line, where one width goes round and every corner is mitred."""
    if case["uniformMm"] is None:
        return
    other = hull.buffer(case["uniformMm"], join_style=2, mitre_limit=20)
    summary["uniform"] += 1
    worst("worstUniformArea", abs(cut.area - other.area) / other.area, f"{case['case']} {piece['id']}")


def check_turn_up(case, piece, by_seam, ring):
    """Turned up, the hem's edge must be as wide as the leg is there: the cut edge against the leg's cut width."""
    _, hem, _ = by_seam["hem"][0]
    depth = case["hemMm"]
    a, b = hem[0], hem[-1]
    chord = (b - a) / np.hypot(*(b - a))
    down = np.array([chord[1], -chord[0]])
    if down[1] > 0:
        down = -down
    middle = (a + b) / 2

    def width_at(distance):
        centre = middle + down * distance
        line = LineString([centre - chord * 400, centre + chord * 400])
        met = line.intersection(Polygon(ring))
        return met.length

    # Half the depth, clear of the curved bottom edge.
    worst("worstTurnUp", abs(width_at(depth / 2) - width_at(-depth / 2)), f"{case['case']} {piece['id']}")


for line in open(sys.argv[1]):
    case = json.loads(line)
    summary["cases"] += 1
    ends, stations = {}, {}
    for piece in case["pieces"]:
        check_piece(case, piece, ends, stations)
    for key, values in ends.items():
        summary["ends"] += 1
        worst("worstEnd", max(values) - min(values) if len(values) == 2 else 9999, f"{case['case']} {key}")
    for key, values in stations.items():
        summary["partners"] += 1
        worst("worstPartner", max(values) - min(values) if len(values) == 2 else 9999, f"{case['case']} {key}")
print(json.dumps(summary))
