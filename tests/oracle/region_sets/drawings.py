"""Filled parts of the drawings of two open sets (see tests/open-sets/fetch.sh)."""

import shapely
import svgelements

from region_sets.curves import even_odd

COUNT = 60
# Longest side of the whole drawing, in mm.
SIZES = [30, 50, 80]
# Smaller parts are left to the small regions of the other sets, in mm2.
LEAST = 1.0
# Steps on each curve.
STEPS = 12


def ring(subpath):
    points = []
    for segment in subpath:
        if isinstance(segment, svgelements.Move):
            continue
        if not points:
            points.append(tuple(segment.start))
        if isinstance(segment, (svgelements.Line, svgelements.Close)):
            points.append(tuple(segment.end))
        else:
            points += [tuple(segment.point(i / STEPS)) for i in range(1, STEPS + 1)]
    return points


def parts(path):
    """The filled shapes of a drawing, in drawing order and the drawing's units."""
    svg = svgelements.SVG.parse(path)
    for element in svg.elements():
        if not isinstance(element, svgelements.Shape) or element.fill.value is None:
            continue
        outline = svgelements.Path(element)
        outline.reify()
        yield even_odd([ring(subpath) for subpath in outline.as_subpaths()])


def shapes(folder):
    files = sorted(folder.glob("*.svg"))
    assert len(files) == 300, f"{folder}: run tests/open-sets/fetch.sh"
    made = []
    for place in range(COUNT):
        path = files[place * len(files) // COUNT]
        size = SIZES[place % len(SIZES)]
        found = list(parts(path))
        whole = shapely.union_all(found).bounds
        scale = size / max(whole[2] - whole[0], whole[3] - whole[1])
        scaled = [shapely.transform(shape, lambda at: at * scale) for shape in found]
        scaled = [shapely.make_valid(shapely.simplify(shape, 0.005)) for shape in scaled]
        fit = [shape for shape in scaled if shape.area >= LEAST]
        # The largest of one drawing, the second of the next, and so on: grounds and details.
        fit.sort(key=lambda shape: -shape.area)
        made.append((f"drawing-{path.stem}-{size}", fit[place % min(4, len(fit))]))
    return made
