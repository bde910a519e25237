"""Draw a pattern with ezdxf from a plain description, sharing no code with the product.

Usage: python3 draw-dxf.py DESCRIPTION.json R12.dxf R2000.dxf

R12: closed POLYLINE in blocks. R2000: LWPOLYLINE with bulges in blocks.
"""
import json
import sys

import ezdxf


def draw(pieces, version, path):
    drawing = ezdxf.new(version)
    space = drawing.modelspace()
    for piece in pieces:
        block = drawing.blocks.new(name=piece["block"])
        layer = lambda name: {"layer": str(name)}
        for number, text in enumerate(piece["texts"]):
            block.add_text(text, dxfattribs={"layer": "1", "height": 5, "insert": (piece["grain"][0][0], piece["grain"][0][1] - 10 * number)})
        for name, ring in ((1, piece["cut"]), (14, piece["sew"])):
            if version == "R12":
                block.add_polyline2d(ring["points"], close=True, dxfattribs=layer(name))
            else:
                block.add_lwpolyline(ring["arcs"], format="xyb", close=True, dxfattribs=layer(name))
        for x, y, depth, angle in piece["notches"]:
            block.add_point((x, y, depth), dxfattribs={"layer": "4", "angle": angle})
        block.add_line(*piece["grain"], dxfattribs=layer(7))
        space.add_blockref(piece["block"], (piece["dx"], 0), dxfattribs={"layer": "1"})
    space.add_text("Units:METRIC", dxfattribs={"layer": "1", "height": 5, "insert": (0, -100)})
    drawing.saveas(path)


description, r12, r2000 = sys.argv[1:4]
with open(description) as file:
    drawn = json.load(file)
draw(drawn, "R12", r12)
draw(drawn, "R2000", r2000)
