"""Read a pattern DXF with ezdxf, sharing no code with the product.

Usage: python3 read-dxf.py FILE.dxf

Prints, for each block: the area and length of the closed polyline on layer 1 (the piece boundary of ASTM D6673) in
drawing units, and how many points lie on layers 2 (turn points) and 4 (notches).
"""
import json
import sys

import ezdxf


def area_and_length(points):
    twice = 0.0
    length = 0.0
    for (ax, ay), (bx, by) in zip(points, points[1:] + points[:1]):
        twice += ax * by - bx * ay
        length += ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
    return abs(twice) / 2, length


def main(path):
    drawing = ezdxf.readfile(path)
    pieces = []
    for block in drawing.blocks:
        if block.name.startswith("*") or block.name.lower().startswith("$"):
            continue
        rings = [e for e in block.query("POLYLINE") if e.dxf.layer == "1"]
        if not rings:
            continue
        ring = [(v.dxf.location.x, v.dxf.location.y) for v in rings[0].vertices]
        if ring[0] == ring[-1]:
            ring = ring[:-1]
        area, length = area_and_length(ring)
        pieces.append(
            {
                "name": block.name,
                "area": area,
                "length": length,
                "turns": len([e for e in block.query("POINT") if e.dxf.layer == "2"]),
                "notches": len([e for e in block.query("POINT") if e.dxf.layer == "4"]),
            }
        )
    json.dump({"version": drawing.dxfversion, "pieces": pieces}, sys.stdout)


main(sys.argv[1])
