"""Random concave regions with holes, from a fixed seed."""

import math
import random

import shapely
from shapely import Polygon, affinity, box

COUNT = 72


def blob(dice, radius):
    """A ragged star-shaped outline."""
    corners = dice.randint(7, 60)
    rough = dice.uniform(0.1, 0.6)
    turn = 2 * math.pi / corners
    return Polygon(
        [
            (r * math.cos(i * turn), r * math.sin(i * turn))
            for i in range(corners)
            for r in [radius * (1 - rough * dice.random())]
        ]
    )


def piled(dice, radius):
    """Bars and discs laid over one another at random."""
    pieces = [blob(dice, radius * 0.5)]
    for _ in range(dice.randint(3, 9)):
        x, y = (dice.uniform(-0.6, 0.6) * radius for _ in "xy")
        if dice.random() < 0.5:
            w, h = (dice.uniform(0.1, 0.8) * radius for _ in "wh")
            piece = affinity.rotate(box(x - w, y - h, x + w, y + h), dice.uniform(0, 180))
        else:
            piece = shapely.Point(x, y).buffer(dice.uniform(0.1, 0.5) * radius, quad_segs=12)
        pieces.append(piece)
    return shapely.union_all(pieces)


def largest(shape):
    return max(shapely.get_parts(shape), key=lambda part: part.area)


def holed(dice, shape, holes):
    left, top, right, bottom = shape.bounds
    size = math.sqrt(shape.area)
    for _ in range(holes):
        hole = blob(dice, size * dice.uniform(0.03, 0.15))
        x, y = dice.uniform(left, right), dice.uniform(top, bottom)
        shape = shape - affinity.translate(hole, x, y)
    return shape


def shapes():
    made = []
    for i in range(COUNT):
        dice = random.Random(1000 + i)
        # From 2 mm to 100 mm across, each size as likely as its double.
        radius = 50 ** dice.random()
        outline = blob(dice, radius) if i % 2 else largest(piled(dice, radius))
        shape = largest(holed(dice, outline, i % 13))
        # Where a hole meets the edge, necks and slivers under a tenth of a millimetre fall away: no
        # drawing means them, and no thread could lie in them.
        opened = shape.buffer(-0.05, join_style="mitre").buffer(0.05, join_style="mitre")
        made.append((f"random-{i:02}", largest(opened & shape)))
    return made
