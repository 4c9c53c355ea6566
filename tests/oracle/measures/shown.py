"""How much travel is left in sight: neither covered later, nor along the edge."""

import numpy
import shapely

# Travel lies under a line of the cover that comes no farther from it than this, in mm: half a
# thread, what the cloth and the thread's spread hide beside it, and a rounding to 0.025.
COVERED = 0.25

# Travel along the inside of the edge lies no farther from it than this, in mm: beside the ends of
# the rows, which turn there.
EDGE = 0.6

# The places looked at lie so far apart, in mm.
STEP = 0.2


def longest_in_sight(sewn):
    """The longest stretch of travel in sight at once, in mm."""
    travel = numpy.flatnonzero(sewn.roles == "travel")
    cover = numpy.flatnonzero(sewn.roles == "cover")
    if not len(travel) or not len(cover):
        return 0.0
    lines = sewn.lines
    lengths = sewn.lengths[travel]
    steps = numpy.maximum(1, (lengths / STEP).astype(int))
    move = numpy.repeat(travel, steps)
    along = numpy.concatenate([(numpy.arange(count) + 0.5) / count for count in steps])
    way = sewn.ends[move] - sewn.starts[move]
    places = shapely.points(sewn.starts[move] + along[:, None] * way)
    near = shapely.STRtree(lines[cover]).query(places, predicate="dwithin", distance=COVERED)
    last = numpy.full(len(places), -1)
    numpy.maximum.at(last, near[0], cover[near[1]])
    edge = shapely.boundary(sewn.region)
    shapely.prepare(edge)
    in_sight = (last < move) & ~shapely.dwithin(edge, places, EDGE)
    return longest(in_sight, numpy.repeat(lengths / steps, steps), move)


def longest(in_sight, lengths, move):
    """The greatest sum of lengths in sight one after another, in one travel."""
    greatest = so_far = 0.0
    before = None
    for seen, length, number in zip(in_sight, lengths, move):
        goes_on = before is not None and number - before <= 1
        so_far = (so_far if goes_on else 0.0) + length if seen else 0.0
        greatest = max(greatest, so_far)
        before = number
    return greatest
