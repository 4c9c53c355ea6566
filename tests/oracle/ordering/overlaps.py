"""What overlaps, by GEOS."""

from shapely import STRtree, make_valid, union_all
from shapely.geometry import Polygon

# The step's rule: more than this in mm2 where it is more than a hair wide, or a fifth of the smaller.
TOLERANCE = 0.1
HAIR = 0.05


def shape(item):
    pieces = [make_valid(Polygon(one["outer"], one["holes"])) for one in item["polygons"]]
    return union_all(pieces)


def pairs(shapes):
    """The pairs (lower, upper) that overlap, and those where it hangs on the last digit."""
    sure, unclear = [], []
    tree = STRtree(shapes)
    for upper, area in enumerate(shapes):
        for lower in sorted(tree.query(area)):
            if lower < upper:
                least, most = (overlap(shapes[int(lower)], area, hair) for hair in (1.2 * HAIR, 0.8 * HAIR))
                if least > 0.01:
                    sure.append((int(lower), upper))
                elif most > -0.01:
                    unclear.append((int(lower), upper))
    return sure, unclear


def overlap(a, b, hair):
    """By how much two shapes overlap beyond what counts as touching, in mm2; negative where they do not."""
    common = a.intersection(b)
    parts = [part for part in getattr(common, "geoms", [common]) if part.area > 0]
    broad = sum(part.area for part in parts if 2 * part.area / part.length > hair)
    return max(common.area - 0.2 * min(a.area, b.area), broad - TOLERANCE)
