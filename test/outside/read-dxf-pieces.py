"""Read DXF files of cut pieces with ezdxf, which shares no code with the product; write what it finds as a JSON list."""
import json
import sys

import ezdxf


def read(path):
    document = ezdxf.readfile(path)
    pieces = {}
    for insert in document.modelspace().query("INSERT"):
        piece = {"boundary": [], "sew": [], "notches": [], "drills": [], "grain": []}
        for entity in document.blocks[insert.dxf.name]:
            layer = entity.dxf.layer
            kind = entity.dxftype()
            if kind == "POLYLINE" and layer in ("1", "14"):
                points = [[vertex.dxf.location.x, vertex.dxf.location.y] for vertex in entity.vertices]
                chain = {"closed": bool(entity.is_closed), "points": points}
                piece["boundary" if layer == "1" else "sew"].append(chain)
            elif kind == "POINT" and layer in ("4", "13"):
                piece["notches" if layer == "4" else "drills"].append(list(entity.dxf.location)[:2])
            elif kind == "LINE" and layer == "7":
                piece["grain"] = [list(entity.dxf.start)[:2], list(entity.dxf.end)[:2]]
        pieces[insert.dxf.name] = piece
    return {"pieces": pieces, "errors": [str(error.message) for error in document.audit().errors]}


print(json.dumps([read(path) for path in sys.argv[1:]]))
