"""Shapes that one can draw with ruler and compasses, and some made to be hard."""

import math

import shapely
from shapely import Polygon, affinity, box

# Points on a quarter of a circle: at 10 mm radius the chord leaves the arc by 0.2 um.
QUARTER = 256


def disc(x, y, r):
    return shapely.Point(x, y).buffer(r, quad_segs=QUARTER)


def ring(outer, inner):
    return disc(0, 0, outer) - disc(0, 0, inner)


def arc(radius, width, degrees):
    """A band along a circle, with round ends."""
    turns = [math.radians(degrees * i / 300) for i in range(301)]
    middle = shapely.LineString([(radius * math.cos(t), -radius * math.sin(t)) for t in turns])
    return middle.buffer(width / 2, quad_segs=64)


def star(points, outer, inner):
    turns = [math.pi * i / points for i in range(2 * points)]
    radii = [outer, inner] * points
    return Polygon([(r * math.sin(t), -r * math.cos(t)) for r, t in zip(radii, turns)])


def comb(teeth, tooth, gap, length):
    """Teeth that hang from a bar."""
    width = teeth * tooth + (teeth - 1) * gap
    bar = box(0, 0, width, tooth)
    hanging = [box(i * (tooth + gap), 0, i * (tooth + gap) + tooth, length) for i in range(teeth)]
    return shapely.union_all([bar, *hanging])


def spiral(turns, pitch, width):
    """A band along an Archimedean spiral."""
    steps = int(turns * 120)
    angle = [2 * math.pi * i / 120 for i in range(steps + 1)]
    reach = [pitch * t / (2 * math.pi) + pitch for t in angle]
    line = shapely.LineString([(r * math.cos(t), r * math.sin(t)) for r, t in zip(reach, angle)])
    return line.buffer(width / 2, quad_segs=16)


def sheet(side, rows):
    """A square with rows x rows round holes of different sizes."""
    pitch = side / rows
    holes = [
        shapely.Point((i + 0.5) * pitch, (j + 0.5) * pitch).buffer(
            pitch * (0.15 + 0.02 * ((3 * i + 7 * j) % 10)), quad_segs=16
        )
        for i in range(rows)
        for j in range(rows)
    ]
    return box(0, 0, side, side) - shapely.union_all(holes)


def gear(teeth, outer, inner, bore):
    step = 2 * math.pi / teeth
    corners = []
    for i in range(teeth):
        for share, r in ((0.0, inner), (0.25, outer), (0.5, outer), (0.75, inner)):
            t = (i + share) * step
            corners.append((r * math.cos(t), r * math.sin(t)))
    return Polygon(corners) - disc(0, 0, bore)


def zigzag_band(legs, leg, width):
    line = shapely.LineString([(i * leg, (i % 2) * leg) for i in range(legs + 1)])
    return line.buffer(width / 2, cap_style="flat", join_style="mitre")


def cross(reach, width):
    return box(-reach, -width / 2, reach, width / 2) | box(-width / 2, -reach, width / 2, reach)


def maze(cells, pitch):
    """A square whose walls, thinner than a thread's row, force one long winding way."""
    side = cells * pitch
    walls = [
        box(0 if i % 2 else pitch, i * pitch - 0.2, side - (pitch if i % 2 else 0), i * pitch + 0.2)
        for i in range(1, cells)
    ]
    return box(0, 0, side, side) - shapely.union_all(walls)


def shapes():
    tilted = affinity.rotate(box(0, 0, 30, 10), 33)
    hour_glass = Polygon([(0, 0), (20, 0), (10.3, 15), (20, 30), (0, 30), (9.7, 15)])
    return [
        ("disc-10", disc(0, 0, 10)),
        ("ring-10-4", ring(10, 4)),
        ("ring-10-8", ring(10, 8)),
        ("ring-30-28.5", ring(30, 28.5)),
        ("ring-off-centre", disc(0, 0, 12) - disc(4, 3, 6)),
        ("ellipse-10-5", affinity.scale(disc(0, 0, 1), 10, 5)),
        ("ellipse-25-3", affinity.scale(disc(0, 0, 1), 25, 3)),
        ("rectangle-30-10", box(0, 0, 30, 10)),
        ("rectangle-tilted", tilted),
        ("bar-50-2", box(0, 0, 50, 2)),
        ("bar-50-1", box(0, 0, 50, 1)),
        ("square-1", box(0, 0, 1, 1)),
        ("square-2", box(0, 0, 2, 2)),
        ("square-5", box(0, 0, 5, 5)),
        ("frame-40-36", box(0, 0, 40, 40) - box(2, 2, 38, 38)),
        ("arc-12-3", arc(12, 3, 200)),
        ("arc-25-6", arc(25, 6, 120)),
        ("arc-8-1.5", arc(8, 1.5, 300)),
        ("star-5", star(5, 20, 8)),
        ("star-12", star(12, 25, 15)),
        ("star-24-thin", star(24, 20, 4)),
        ("comb-8", comb(8, 3, 2, 20)),
        ("comb-25-fine", comb(25, 1.2, 0.8, 30)),
        ("comb-upright", affinity.rotate(comb(10, 4, 1, 40), 90)),
        ("spiral-4", spiral(4, 6, 4)),
        ("spiral-6-fine", spiral(6, 3, 2)),
        ("gear-16", gear(16, 20, 16, 5)),
        ("zigzag-band", zigzag_band(7, 10, 4)),
        ("cross-20-6", cross(20, 6)),
        ("hour-glass", hour_glass),
        ("wedge", Polygon([(0, 0), (50, 0), (50, 6)])),
        ("maze-8", maze(8, 5)),
        ("sheet-60-36-holes", sheet(60, 6)),
        ("sheet-120-64-holes", sheet(120, 8)),
    ]


def large():
    return [("sheet-300-100-holes", sheet(300, 10))]
