"""The same shapes in growing sizes, to see how the time grows with the area."""

import random

from shapely import affinity

from region_sets import exact, random_concave

# Areas in mm2, each ten times the one before.
AREAS = [100, 1_000, 10_000, 100_000]


def shapes():
    dice = random.Random(77)
    outline = random_concave.blob(dice, 10)
    families = {
        "disc": exact.disc(0, 0, 10),
        "ragged": random_concave.largest(random_concave.holed(dice, outline, 6)),
        "star": exact.star(7, 10, 4),
        "sheet": exact.sheet(10, 4),
    }
    made = []
    for family, shape in families.items():
        for area in AREAS:
            scale = (area / shape.area) ** 0.5
            made.append((f"size-{family}-{area}", affinity.scale(shape, scale, scale, origin=(0, 0))))
    return made
