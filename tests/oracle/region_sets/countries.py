"""Outlines of countries: ragged, with islands and lakes, as nobody draws by hand.

Natural Earth 1:50m, in the public domain, as TopoJSON (its specification: arcs of whole numbers,
each point the difference from the one before, shared between neighbours; arc ~i is arc i reversed).
"""

import json
import math

import shapely

COUNT = 52
# Longest side of the largest part's box, in mm.
SIZES = [10, 15, 25, 40, 60, 100]
# So many of the largest parts of a country are kept, of those with at least this area, in mm2.
MOST_PARTS = 5
LEAST_PART = 0.5


def arcs_of(topology):
    (sx, sy), (ox, oy) = topology["transform"]["scale"], topology["transform"]["translate"]
    arcs = []
    for steps in topology["arcs"]:
        x = y = 0
        arc = []
        for dx, dy in steps:
            x, y = x + dx, y + dy
            arc.append((x * sx + ox, y * sy + oy))
        arcs.append(arc)
    return arcs


def ring(arcs, indices):
    points = []
    for index in indices:
        arc = arcs[index] if index >= 0 else arcs[~index][::-1]
        # Each arc begins where the one before ended.
        points += arc[1:] if points else arc
    return points


def polygon(arcs, rings):
    outer, *holes = (ring(arcs, indices) for indices in rings)
    return shapely.Polygon(outer, [hole for hole in holes if len(hole) >= 4])


def outline(arcs, geometry):
    parts = geometry["arcs"] if geometry["type"] == "MultiPolygon" else [geometry["arcs"]]
    parts = [polygon(arcs, rings) for rings in parts if len(ring(arcs, rings[0])) >= 4]
    return shapely.union_all([shapely.make_valid(part) for part in parts])


def on_cloth(shape, size):
    """Degrees to mm: true along the middle parallel, north up, the longest side of the largest
    part `size` mm; with the parts that lie near it."""
    parts = sorted(shapely.get_parts(shape), key=lambda part: -part.area)
    left, south, right, north = parts[0].bounds
    near = shapely.box(*parts[0].bounds).buffer(max(right - left, north - south) / 2)
    shape = shapely.union_all([part for part in parts[:MOST_PARTS] if near.contains(part)])
    narrowing = math.cos(math.radians((south + north) / 2))
    scale = size / max((right - left) * narrowing, north - south)
    shape = shapely.transform(
        shape, lambda at: (at - (left, north)) * (scale * narrowing, -scale)
    )
    shape = shapely.make_valid(shapely.simplify(shape, 0.01))
    parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"]
    return shapely.union_all([part for part in parts if part.area >= LEAST_PART])


def shapes(path):
    topology = json.loads(path.read_text())
    arcs = arcs_of(topology)
    wanted = [one for one in topology["objects"]["countries"]["geometries"] if "id" in one]
    outlines = [(one["id"], outline(arcs, one)) for one in sorted(wanted, key=lambda one: one["id"])]
    # The map ends at 180 degrees east; what lies on both sides would become a band around the world.
    outlines = [(id, shape) for id, shape in outlines if shape.bounds[2] - shape.bounds[0] < 180]
    made = []
    for place in range(COUNT):
        id, shape = outlines[place * len(outlines) // COUNT]
        size = SIZES[place % len(SIZES)]
        made.append((f"country-{id}-{size}", on_cloth(shape, size)))
    return made
