"""Writes target/craft/regions.json: the regions that the fill-making steps are judged on.

    python regions.py

Always the same regions, in mm with y down: exact shapes, random concave ones with holes, letters,
countries, parts of drawings, and one shape in many sizes. They are made and cleaned by shapely
(GEOS), never by this project's geometry. tests/open-sets/fetch.sh and fetch-shapes.sh must have run.
"""

import json
import pathlib

import shapely

from region_sets import countries, drawings, exact, letters, random_concave, sizes

ROOT = pathlib.Path(__file__).resolve().parents[2]
OPEN_SETS = ROOT / "target/open-sets"
TARGET = ROOT / "target/craft/regions.json"

# Corners lie on this grid, in mm, so that libraries of mathematics that differ in the last digit
# give the same file.
GRID = 1e-4


def cleaned(shape):
    """The polygons of `shape`, valid and on the grid; parts without area are dropped."""
    shape = shapely.set_precision(shapely.make_valid(shape), GRID)
    parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"]
    return [part for part in parts if part.area > 1e-3]


def ring(line):
    # The first corner is not repeated at the end.
    return [[round(x, 4), round(y, 4)] for x, y in line.coords[:-1]]


def region(set_name, name, shape):
    polygons = cleaned(shape)
    assert polygons, f"{name} is empty"
    return {
        "name": name,
        "set": set_name,
        "polygons": [
            {"outer": ring(part.exterior), "holes": [ring(hole) for hole in part.interiors]}
            for part in polygons
        ],
    }


def main():
    sets = {
        "exact": exact.shapes(),
        "random": random_concave.shapes(),
        "letters": letters.shapes(OPEN_SETS / "script-typeface.ttf"),
        "countries": countries.shapes(OPEN_SETS / "countries-50m.json"),
        "drawings": drawings.shapes(OPEN_SETS / "svg"),
        "sizes": sizes.shapes(),
        "large": exact.large(),
    }
    regions = []
    for set_name, shapes in sets.items():
        of_set = [region(set_name, name, shape) for name, shape in shapes]
        corners = sum(len(p["outer"]) for one in of_set for p in one["polygons"])
        print(f"{set_name:10} {len(of_set):4} regions, {corners:7} corners of outer edges")
        regions += of_set
    names = [one["name"] for one in regions]
    assert len(set(names)) == len(names), "two regions have one name"
    TARGET.parent.mkdir(parents=True, exist_ok=True)
    TARGET.write_text(json.dumps(regions, separators=(",", ":")) + "\n")
    print(f"{len(regions)} regions in {TARGET.relative_to(ROOT)}")


if __name__ == "__main__":
    main()
