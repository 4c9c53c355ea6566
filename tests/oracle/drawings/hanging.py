"""What hangs together: the fewest runs of thread that a design can be sewn in.

Within a block of objects of one thread, two pieces hang together where they touch (within 0.3 mm), or
where both touch one connected piece of what is sewn later: a travel under it shows nowhere. A block
needs a cut for every further part at most; the machine cuts by itself where threads change.
"""

from itertools import groupby

from shapely import STRtree, union_all
from shapely.geometry import MultiPolygon

from .design import moves, opaque, parts

TOUCH = 0.3


def judged(design):
    """(trims, connected parts in all blocks, thread changes)."""
    trims = sum(kind == "Trim" for _, kind, *_ in moves(design))
    sewn = [item for item in design["objects"] if item["stitches"]]
    blocks = [list(block) for _, block in groupby(sewn, key=lambda item: item["thread"])]
    later = MultiPolygon()
    connected = 0
    for block in reversed(blocks):
        # Each object of the block may also run under those that are sewn after it.
        whole = []
        for item in reversed(block):
            later = union_all([later, opaque(item)])
            whole += parts(item)
        connected += len(groups(whole, getattr(later, "geoms", [later])))
    return trims, connected, max(0, len(blocks) - 1)


def groups(pieces, grounds):
    """Pieces that touch each other or one ground, in groups."""
    nodes = list(pieces) + [ground for ground in grounds if not ground.is_empty]
    above = list(range(len(nodes)))

    def root(node):
        while above[node] != node:
            above[node] = above[above[node]]
            node = above[node]
        return node

    if not nodes:
        return set()
    tree = STRtree(nodes)
    for one, other in tree.query(nodes, predicate="dwithin", distance=TOUCH).T:
        above[root(one)] = root(other)
    return {root(node) for node in range(len(pieces))}
