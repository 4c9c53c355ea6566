"""All measures of one sewn region."""

import numpy
import shapely

from measures.coverage import coverage
from measures.shown import longest_in_sight

# 40 weight thread lies about 0.25 mm wide (common practice), and the cloth's weave and the
# thread's own spread hide 0.1 mm on each side of it (the project's acceptance values).
THREAD_REACH = 0.25 / 2 + 0.1

# So far may thread lie beyond the pull compensation, in mm (the project's acceptance values).
SLACK = 0.2

# So far may travel and underlay lie beyond the edge, in mm: the way from row to row leads along
# the ends of the rows, which the default pull compensation of 0.15 mm carries out; 0.05 mm more
# lets a chord cut the bow of a round edge.
TRAVEL_SLACK = 0.2


def length_outside(lines, area):
    """How much of each line lies outside the area. Most lines lie inside, which is quick to see."""
    shapely.prepare(area)
    outside = ~shapely.covers(area, lines)
    lengths = numpy.zeros(len(lines))
    lengths[outside] = shapely.length(shapely.difference(lines[outside], area))
    return lengths


def measure(sewn):
    """A name and a number for each measure; what cannot be said of this region is missing."""
    region = sewn.region
    lengths, lines = sewn.lengths, sewn.lines
    total = lengths.sum()
    found = {"stitches": len(lengths), "area": region.area}
    if total == 0:
        return found | {"coverage": 0.0, "cover": 0.0}
    cover = sewn.roles == "cover"
    way = (sewn.roles == "travel") | (sewn.roles == "underlay")
    tie = sewn.roles == "tie"

    threads = [(sewn.starts, sewn.ends), (sewn.starts[cover], sewn.ends[cover])]
    found["coverage"], found["cover"] = coverage(region, threads, THREAD_REACH)

    grown = region.buffer(sewn.compensation + SLACK, quad_segs=32)
    found["outside"] = length_outside(lines, grown).sum() / total

    full = region.area / (sewn.density / 2)
    found["length"] = lengths[cover].sum() / full
    found["length_sewn_area"] = lengths[cover].sum() / (
        region.buffer(sewn.compensation, quad_segs=32).area / (sewn.density / 2)
    )

    found["jumps"] = sewn.jumps - (len(shapely.get_parts(region)) - 1)
    found["under_half"] = int((lengths[~tie] < 0.5).sum())
    found["under_one"] = (lengths[~tie] < 1.0).sum() / max(1, (~tie).sum())
    found["shortest"] = lengths[~tie].min()
    found["longest"] = lengths.max()

    near = region.buffer(TRAVEL_SLACK, quad_segs=32)
    astray = length_outside(lines[way], near)
    found["astray"] = astray.max(initial=0)
    found["in_sight"] = longest_in_sight(sewn)
    return found
