"""The best order by trying all that keep the overlaps: dynamic programmes over what is sewn already."""

from shapely import prepare

TRIM_OVER = 5.0
TOUCH = 0.3

# The step thins outlines out before it measures gaps.
PRECISION = 0.06

# Beyond so many sets of sewn objects a design is too large to solve here.
LARGEST = 40_000
LARGEST_FOR_TRIMS = 700


def closure(pairs, count):
    """For each object, all that must come before it."""
    before = [set() for _ in range(count)]
    for lower, upper in sorted(pairs, key=lambda pair: pair[1]):
        before[upper] |= {lower} | before[lower]
    return before


def changes(order, threads):
    return sum(threads[a] != threads[b] for a, b in zip(order, order[1:]))


def masks(before):
    return [sum(1 << b for b in one) for one in before]


def fewest_changes(threads, before):
    """The fewest thread changes over all orders; nothing where there are too many sets."""
    count, need = len(threads), masks(before)
    # The fewest changes for each set, by the thread sewn last.
    layer, seen = {0: {}}, 0
    for _ in range(count):
        grown = {}
        for sewn, ends in layer.items():
            least = min(ends.values(), default=-1)
            for place in range(count):
                if sewn >> place & 1 or need[place] & ~sewn:
                    continue
                thread = threads[place]
                cost = min(ends.get(thread, least + 1), least + 1)
                into = grown.setdefault(sewn | 1 << place, {})
                into[thread] = min(into.get(thread, cost), cost)
        layer, seen = grown, seen + len(grown)
        if seen > LARGEST:
            return None
    return min(layer[(1 << count) - 1].values())


class Trims:
    """Trims by the shapes alone: travel over 5 mm that no chain of touching shapes hides, all sewn later."""

    def __init__(self, shapes, threads, lenience=0.0):
        """`lenience` is added to what counts as touching and near, in mm."""
        self.threads, count = threads, len(shapes)
        # Whether a distance lies so near to a limit that the last digits decide.
        self.unclear = False
        for one in shapes:
            prepare(one)
        self.far = [[False] * count for _ in shapes]
        self.touch = [0] * count
        for a in range(count):
            for b in range(a):
                gap = shapes[a].distance(shapes[b])
                self.unclear |= min(abs(gap - TRIM_OVER), abs(gap - TOUCH)) < PRECISION
                self.far[a][b] = self.far[b][a] = gap > TRIM_OVER + lenience
                if gap <= TOUCH + lenience:
                    self.touch[a] |= 1 << b
                    self.touch[b] |= 1 << a
        self.everything = (1 << count) - 1

    def cut(self, a, b, later):
        """Whether the thread is cut from a to b where `later`, b among them, is sewn after a."""
        return self.threads[a] == self.threads[b] and self.far[a][b] and not self.reach(a, later) >> b & 1

    def reach(self, a, later):
        reached, edge = 0, self.touch[a] & later
        while edge:
            reached |= edge
            near = 0
            for place in range(edge.bit_length()):
                if edge >> place & 1:
                    near |= self.touch[place]
            edge = near & later & ~reached
        return reached

    def of(self, order):
        later, trims = self.everything, 0
        for a, b in zip(order, order[1:]):
            later &= ~(1 << a)
            trims += self.cut(a, b, later)
        return trims

    def fewest(self, before):
        """The fewest (thread changes, trims), in this order of weight; nothing where there are too many sets."""
        count, need = len(self.threads), masks(before)
        layer, seen = {0: {}}, 0
        for _ in range(count):
            grown = {}
            for sewn, ends in layer.items():
                later = self.everything & ~sewn
                reach = {last: self.reach(last, later) for last in ends}
                for place in range(count):
                    if sewn >> place & 1 or need[place] & ~sewn:
                        continue
                    best = (0, 0) if not ends else None
                    for last, (changed, trims) in ends.items():
                        other = self.threads[last] != self.threads[place]
                        cut = not other and self.far[last][place] and not reach[last] >> place & 1
                        cost = (changed + other, trims + cut)
                        best = cost if best is None else min(best, cost)
                    grown.setdefault(sewn | 1 << place, {})[place] = best
            layer, seen = grown, seen + len(grown)
            if seen > LARGEST_FOR_TRIMS:
                return None
        return min(layer[self.everything].values())
