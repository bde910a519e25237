"""Draw a pattern with ezdxf from a plain description in every way it has, sharing no code with the product.

Usage: python3 draw-dxf.py DESCRIPTION.json FOLDER

Writes FOLDER/R12 WAY.dxf and FOLDER/R2000 WAY.dxf, in blocks. Release 12 has no splines.
"""
import json
import os
import sys

import ezdxf
from ezdxf.math import bulge_to_arc

WAYS = {
    "R12": ["polylines", "polylines of arcs", "arcs and lines", "lines"],
    "R2000": ["polylines", "polylines of arcs", "splines", "arcs and lines", "lines"],
}


def draw_ring(block, ring, way, version, layer):
    to = {"layer": str(layer)}
    if way == "polylines" or way == "polylines of arcs":
        corners = [(x, y, 0) for x, y in ring["points"]] if way == "polylines" else ring["arcs"]
        if version == "R12":
            block.add_polyline2d(corners, format="xyb", close=True, dxfattribs=to)
        else:
            block.add_lwpolyline(corners, format="xyb", close=True, dxfattribs=to)
    elif way == "lines":
        points = ring["points"]
        for i, start in enumerate(points):
            block.add_line(start, points[(i + 1) % len(points)], dxfattribs=to)
    elif way == "splines":
        for curve in ring["curves"]:
            controls = [(curve[name]["x"], curve[name]["y"]) for name in ("p0", "p1", "p2", "p3") if name in curve]
            if len(controls) == 2:
                block.add_line(*controls, dxfattribs=to)
            else:
                block.add_open_spline([(x, y, 0) for x, y in controls], degree=3, dxfattribs=to)
    else:
        arcs = ring["arcs"]
        for i, (x, y, bulge) in enumerate(arcs):
            end = arcs[(i + 1) % len(arcs)][:2]
            if abs(bulge) < 1e-5:
                block.add_line((x, y), end, dxfattribs=to)
            else:
                centre, start_angle, end_angle, radius = bulge_to_arc((x, y), end, bulge)
                block.add_arc(centre, radius, _degrees(start_angle), _degrees(end_angle), dxfattribs=to)


def _degrees(radians):
    return radians * 180 / 3.141592653589793


def draw(pieces, version, way, path):
    drawing = ezdxf.new(version)
    space = drawing.modelspace()
    for piece in pieces:
        block = drawing.blocks.new(name=piece["block"])
        x, y = piece["grain"][0]
        for number, text in enumerate(piece["texts"]):
            block.add_text(text, dxfattribs={"layer": "1", "height": 5, "insert": (x, y - 10 * number)})
        draw_ring(block, piece["cut"], way, version, 1)
        draw_ring(block, piece["sew"], way, version, 14)
        for x, y, depth, angle in piece["notches"]:
            block.add_point((x, y, depth), dxfattribs={"layer": "4", "angle": angle})
        block.add_line(*piece["grain"], dxfattribs={"layer": "7"})
        space.add_blockref(piece["block"], (piece["dx"], 0), dxfattribs={"layer": "1"})
    space.add_text("Units:METRIC", dxfattribs={"layer": "1", "height": 5, "insert": (0, -100)})
    drawing.saveas(path)


description, folder = sys.argv[1:3]
with open(description) as file:
    drawn = json.load(file)
for version, ways in WAYS.items():
    for way in ways:
        draw(drawn, version, way, os.path.join(folder, f"{version} {way}.dxf"))
