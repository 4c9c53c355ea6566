"""The bounds that every sewn region must keep, in one table.

The values are the project's own acceptance values for these steps. The densities, and the lengths
of stitches that they rest on, come from trade practice: full cover with 40 weight thread at a density
of 0.4 to 0.45 mm from line 1 to line 3 (L. Goodall, "Understanding density"; E. Campbell, "Density";
Printwear, July 2019, p. 24); stitches are safe from 1 mm (Printwear, December 2016, p. 30), with a
hard floor of 0.3 to 0.5 mm and none over 12.1 mm (common practice).
"""

import dataclasses

import numpy


@dataclasses.dataclass(frozen=True)
class Bound:
    # Which measure of measures/quality.py.
    measure: str
    # In words.
    what: str
    # At least, or at most, this.
    least: float | None = None
    most: float | None = None
    # Which steps it holds for, and from which area of a region on, in mm2.
    steps: tuple = ("region-fill", "satin-column")
    from_area: float = 0.0
    # Whether it holds for the whole run together instead of each region.
    pooled: bool = False

    def instead(self, value):
        """The same bound at another value."""
        side = "least" if self.least is not None else "most"
        return dataclasses.replace(self, **{side: value})

    def kept(self, value):
        return (self.least is None or value >= self.least) and (
            self.most is None or value <= self.most
        )


BOUNDS = [
    Bound("coverage", "share of the region within 0.225 mm of thread", least=0.995),
    Bound("outside", "share of thread beyond pull compensation + 0.2 mm", most=0.001),
    # Pull compensation lengthens every row on purpose: the area is the one that is to be sewn.
    Bound(
        "length_sewn_area",
        "cover's length x row distance / area grown by pull compensation",
        most=1.10,
        steps=("region-fill",),
        from_area=25.0,
    ),
    Bound("jumps", "jumps beyond one for each further part", most=0),
    Bound("under_half", "stitches under 0.5 mm", most=0),
    Bound("under_one", "share of stitches under 1 mm", most=0.01, from_area=25.0),
    Bound("under_one", "share of stitches under 1 mm in the whole run", most=0.01, pooled=True),
    Bound("longest", "longest move, mm", most=12.0),
    Bound(
        "in_sight",
        "travel away from the edge that nothing covers later, at once, mm",
        most=3.0,
        steps=("region-fill",),
    ),
    Bound("astray", "farthest that a travel or underlay move lies beyond 0.2 mm, mm", most=0.01),
]


def broken(run, found, shortfalls):
    """A line for each bound that does not hold, and is no known shortfall as bad."""
    lines = []
    for bound, name, value in values_of(found):
        known = shortfalls.get(run, bound.measure, name) if not bound.kept(value) else None
        if not bound.kept(value) and (known is None or not bound.instead(known).kept(value)):
            lines.append(line(run, name, bound if known is None else bound.instead(known), value))
    for one, values in found:
        if one.failure is not None:
            lines.append(f"{run} {one.name}: {one.failure}")
        elif not values["stitches"]:
            lines.append(f"{run} {one.name}: nothing is sewn")
    return lines


def values_of(found):
    """Each bound with each region that it holds for, and the region's value."""
    for bound in BOUNDS:
        of_step = [(one, values) for one, values in found if one.step in bound.steps]
        if bound.pooled:
            if of_step:
                yield bound, "all regions", pool(bound.measure, [values for _, values in of_step])
            continue
        for one, values in of_step:
            if bound.measure in values and values["area"] >= bound.from_area:
                yield bound, one.name, float(values[bound.measure])


def line(run, region, bound, value):
    limit = f"least {bound.least}" if bound.least is not None else f"most {bound.most}"
    return f"{run} {region}: {bound.what}: {value:.4g}, at {limit}"


def pool(measure, all_values):
    """A share of stitches over all regions together."""
    stitches = numpy.array([values["stitches"] for values in all_values])
    shares = numpy.array([values.get(measure, 0.0) for values in all_values])
    return float((stitches * shares).sum() / max(1, stitches.sum()))
