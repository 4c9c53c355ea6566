"""A sewn design as the program wrote it, without any of the program's own code."""

import json

from shapely import make_valid, union_all
from shapely.geometry import LineString, MultiPolygon, Polygon


def read(file):
    return json.loads(file.read_text())


def moves(design):
    """Every stitch in order: (object's place, kind, role, x, y)."""
    for place, item in enumerate(design["objects"]):
        for block in item["stitches"]:
            for x, y in zip(block["x"], block["y"]):
                yield place, block["kind"], block["role"], x, y


def threads_laid(design):
    """Each length of thread that lies on the cloth, sewn or carried: (object's place, role, x, y, x, y).
    Nothing lies where the thread is cut, which machines do by themselves where threads change."""
    last, wound = None, None
    for place, kind, role, x, y in moves(design):
        thread = design["objects"][place]["thread"]
        if last is not None and kind != "Trim" and thread == wound and last != (x, y):
            yield place, role, *last, x, y
        last, wound = (x, y), thread


def parts(item):
    """What an object shows, as separate pieces; of lines their strokes."""
    shape = item["shape"]
    if shape == "Manual":
        return []
    if "Region" in shape:
        pieces = [polygon(one) for one in shape["Region"]["polygons"]]
    else:
        width = max(shape["Lines"]["width"], 0.4)
        pieces = [line(path).buffer(width / 2) for path in shape["Lines"]["paths"] if len(path["x"]) > 1]
    whole = union_all([make_valid(piece) for piece in pieces])
    return [piece for piece in getattr(whole, "geoms", [whole]) if piece.area > 0]


def polygon(one):
    ring = lambda path: list(zip(path["x"], path["y"]))
    return Polygon(ring(one["outer"]), [ring(hole) for hole in one["holes"]])


def line(path):
    corners = list(zip(path["x"], path["y"]))
    return LineString(corners + corners[:1] if path["closed"] else corners)


def opaque(item):
    """The area that hides what is sewn before: of regions, and of lines at least 1 mm wide."""
    shape = item["shape"]
    if shape == "Manual" or not item["stitches"]:
        return MultiPolygon()
    if "Lines" in shape and shape["Lines"]["width"] < 1:
        return MultiPolygon()
    return union_all(parts(item))
