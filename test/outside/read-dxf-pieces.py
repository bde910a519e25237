"""Read a DXF of cut pieces with ezdxf, which shares no code with the product; write what it finds as JSON."""
import json
import sys

import ezdxf

document = ezdxf.readfile(sys.argv[1])
texts = [entity.dxf.text for entity in document.modelspace() if entity.dxftype() == "TEXT"]
pieces = {}
for insert in document.modelspace().query("INSERT"):
    block = document.blocks[insert.dxf.name]
    piece = {"layers": {}, "texts": [], "boundary": [], "sew": [], "notches": [], "drills": [], "grain": None}
    for entity in block:
        layer = entity.dxf.layer
        piece["layers"][layer] = piece["layers"].get(layer, 0) + 1
        kind = entity.dxftype()
        if kind == "TEXT":
            piece["texts"].append(entity.dxf.text)
        elif kind == "POLYLINE":
            points = [[vertex.dxf.location.x, vertex.dxf.location.y] for vertex in entity.vertices]
            if layer == "1":
                piece["boundary"].append({"closed": bool(entity.is_closed), "points": points})
            elif layer == "14":
                piece["sew"].append({"closed": bool(entity.is_closed), "points": points})
        elif kind == "POINT" and layer == "4":
            at = entity.dxf.location
            piece["notches"].append([at.x, at.y, at.z])
        elif kind == "POINT" and layer == "13":
            piece["drills"].append([entity.dxf.location.x, entity.dxf.location.y])
        elif kind == "LINE" and layer == "7":
            piece["grain"] = [list(entity.dxf.start)[:2], list(entity.dxf.end)[:2]]
    pieces[insert.dxf.name] = piece
auditor = document.audit()
print(json.dumps({"texts": texts, "pieces": pieces, "errors": [str(error.message) for error in auditor.errors]}))
