"""What overlaps, by GEOS."""

from shapely import STRtree, make_valid, union_all
from shapely.geometry import Polygon

# The step's rule: more than this in mm2 where it is more than a hair wide, or a fifth of the smaller.
TOLERANCE = 0.1
HAIR = 0.05
# An overlap of up to this, in mm2, binds nothing where it lies hidden beneath what is sewn after both.
CRUMB = 1.0


def shape(item):
    pieces = [make_valid(Polygon(one["outer"], one["holes"])) for one in item["polygons"]]
    return union_all(pieces)


def pairs(shapes):
    """The pairs (lower, upper) that overlap, and those where it hangs on the last digit, or where what
    they share may all lie hidden."""
    sure, unclear = [], []
    tree = STRtree(shapes)
    for upper, area in enumerate(shapes):
        for lower in sorted(tree.query(area)):
            if lower < upper:
                common = shapes[int(lower)].intersection(area)
                least, most = (overlap(shapes[int(lower)], area, common, hair) for hair in (1.2 * HAIR, 0.8 * HAIR))
                hidden = least > 0.01 and not shows(int(lower), upper, shapes, range(upper + 1, len(shapes)), -0.01)
                if least > 0.01 and not hidden:
                    sure.append((int(lower), upper))
                elif most > -0.01:
                    unclear.append((int(lower), upper))
    return sure, unclear


def shows(lower, upper, shapes, above, slack=0.01):
    """Whether two shapes that overlap still do, by more than `slack`, where the shapes `above` hide nothing."""
    common = shapes[lower].intersection(shapes[upper])
    if common.area > CRUMB * 1.01:
        return True
    seen = common.difference(union_all([shapes[place] for place in above]))
    return overlap(shapes[lower], shapes[upper], seen, HAIR) > slack


def overlap(a, b, common, hair):
    """By how much two shapes overlap with `common` beyond what counts as touching, in mm2; negative where they
    do not."""
    parts = [part for part in getattr(common, "geoms", [common]) if part.area > 0]
    broad = sum(part.area for part in parts if 2 * part.area / part.length > hair)
    return max(common.area - 0.2 * min(a.area, b.area), broad - TOLERANCE)
