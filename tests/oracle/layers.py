"""Checks the step cut-layers with geometry from outside (shapely, GEOS).

    python layers.py [design JSON ...]

200 random layered drawings, and the files that are named, if any. The step runs through its example `before_and_after`; then, for
every object, GEOS tells what of it showed before (no later object hides it) and what is covered
after. It must hold that

- nothing is covered that was not covered before, and what shows stays covered, but for what the
  step says it left out as too small for a thread, and for lines beneath lines of their own thread: to
  within an edge of 2 um;
- what is left beneath others lies within the largest underlap that the settings give of what
  shows, or is a hole too small to be cut;
- cutting again takes no more than 2 % of what is left: a hole may come to lie on the other side of a
  least size.
"""

import json
import math
import pathlib
import random
import subprocess
import sys

import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import substring

ROOT = pathlib.Path(__file__).resolve().parents[2]
TARGET = ROOT / "target/layers"
DRAWINGS = 200

# Edges may differ by this, in mm.
EDGE = 0.002
# What is left out as too small for a thread: narrower than this along an upper edge, in mm, or of
# less than this area, in mm2 (the step's defaults).
HAIR = 0.25
SPECK = 0.1
THREAD = 0.4


def blob(rng, x, y, size):
    """A star-shaped polygon, some of them with a hole."""
    corners = rng.randint(3, 24)
    turns = sorted(rng.uniform(0, math.tau) for _ in range(corners))
    outer = [
        (x + size * r * math.cos(t), y + size * r * math.sin(t))
        for t in turns
        for r in [rng.uniform(0.4, 1.0)]
    ]
    shape = shapely.make_valid(Polygon(outer)).buffer(0)
    if rng.random() < 0.3:
        shape = shape.difference(Point(x, y).buffer(size * rng.uniform(0.1, 0.3)))
    return shape


def region(shape):
    parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"]
    return {"Region": {"polygons": [
        {"outer": ring(part.exterior), "holes": [ring(hole) for hole in part.interiors]}
        for part in parts
    ]}}


def ring(line):
    corners = list(line.coords)[:-1]
    return {"x": [c[0] for c in corners], "y": [c[1] for c in corners], "closed": True}


def drawing(seed):
    rng = random.Random(seed)
    objects = []
    for i in range(rng.randint(3, 14)):
        x, y = rng.uniform(0, 60), rng.uniform(0, 60)
        kind = rng.random()
        if kind < 0.5:
            shape = region(blob(rng, x, y, rng.uniform(2, 25)))
        elif kind < 0.75:
            shape = region(Point(x, y).buffer(rng.uniform(1, 18)))
        else:
            corners = [(rng.uniform(0, 60), rng.uniform(0, 60)) for _ in range(rng.randint(2, 6))]
            closed = len(corners) > 2 and rng.random() < 0.4
            path = {"x": [c[0] for c in corners], "y": [c[1] for c in corners], "closed": closed}
            shape = {"Lines": {"paths": [path], "width": rng.choice([0.5, 0.8, 1.5, 3.0, 5.0])}}
        objects.append({
            "id": f"{i}", "name": f"{i}", "tags": [], "thread": 0, "shape": shape,
            "sewing": {"angle": None, "density": None, "stitch_length": None, "start": None,
                       "finish": None, "direction_marks": []},
            "stitches": [],
        })
    return {
        "title": f"layers {seed}",
        "page": {"least": {"x": 0.0, "y": 0.0}, "greatest": {"x": 60.0, "y": 60.0}},
        "threads": [{"name": "grey", "code": "", "red": 90, "green": 90, "blue": 90, "weight": 40}],
        "objects": objects,
    }


def corners_of(polyline):
    corners = list(zip(polyline["x"], polyline["y"]))
    return corners + corners[:1] if polyline["closed"] else corners


def case(shape):
    """The kind of a shape in lower case, and what it holds."""
    if isinstance(shape, str):
        return shape.lower(), None
    [(name, value)] = shape.items()
    return name.lower(), value


def area_of(shape, surely=False):
    """What a shape covers, made valid by GEOS; of lines, their strokes with round ends, or what
    they cover surely, whether their ends are round or flat."""
    name, value = case(shape)
    if name == "region":
        parts = [
            shapely.make_valid(Polygon(corners_of(p["outer"]), [corners_of(h) for h in p["holes"]]))
            for p in value["polygons"]
            if len(p["outer"]["x"]) >= 3
        ]
        return shapely.union_all(parts).buffer(0)
    if name == "lines":
        width = max(value["width"], THREAD)
        lines = [LineString(corners_of(path)) for path in value["paths"] if len(path["x"]) >= 2]
        if surely:
            lines = [
                line if line.is_closed else substring(line, width / 2, line.length - width / 2)
                for line in lines
                if line.length > width
            ]
        return shapely.union_all([line.buffer(width / 2, quad_segs=32) for line in lines])
    return Polygon()


def hides(shape, settings):
    name, value = case(shape)
    return name == "region" or name == "lines" and value["width"] >= settings["line-hides-from"]


def covers_as_fine(fine, lower):
    """Whether a fine line may hide a line that lies lower."""
    widths = [max(case(one["shape"])[1]["width"], THREAD) for one in (fine, lower)]
    return fine["thread"] == lower["thread"] and widths[0] >= widths[1]


def worth(area):
    """Without what lies within a hair of the edge, and without specks."""
    core = area.buffer(-HAIR / 2 - EDGE)
    parts = [part for part in shapely.get_parts(core) if part.area > 0]
    return shapely.union_all([
        part for part in parts if part.buffer(HAIR / 2).area > SPECK + EDGE
    ])


def judge(told):
    """What is wrong with one drawing, and its figures."""
    settings = told["settings"]
    wrong = []
    left = {one["id"]: one for one in told["after"]["objects"]}
    order = [one["id"] for one in told["before"]["objects"] if one["id"] in left]
    if order != [one["id"] for one in told["after"]["objects"]]:
        wrong.append("the order changed")
    above, surely_above = Polygon(), Polygon()
    fine = []
    figures = {"before": 0.0, "after": 0.0, "hidden": 0.0, "lost": 0.0, "covered": 0.0}
    all_before, all_after = [], []
    most = max(settings["under-fills"], settings["under-narrow"], settings["under-lines"])
    most = max(most, settings["least-width"])
    for one in reversed(told["before"]["objects"]):
        # Lines are compared with round ends before, so that all that may show counts.
        before = area_of(one["shape"])
        shown = before.difference(above)
        if case(one["shape"])[0] == "lines":
            # A fine line hides those of its own thread that are no wider.
            alike = [area for other, area in fine if covers_as_fine(other, one)]
            shown = shown.difference(shapely.union_all(alike))
        after = area_of(left[one["id"]]["shape"]) if one["id"] in left else Polygon()
        grew = after.difference(before.buffer(EDGE)).area
        if grew > 0.01:
            wrong.append(f"{one['id']} covers {grew:.4f} mm2 more than before")
        must = worth(shown)
        gap = must.difference(after.buffer(EDGE)).area
        if gap > 0.001:
            at = must.difference(after.buffer(EDGE)).representative_point()
            wrong.append(f"{one['id']} has a gap of {gap:.4f} mm2 at {at.x:.2f}, {at.y:.2f}")
        figures["lost"] += shown.difference(after.buffer(EDGE)).area
        if case(one["shape"])[0] == "region":
            # What stays though it is farther than any underlap from what shows: small holes, and
            # gaps that are too narrow to cut.
            may_show = before.difference(surely_above)
            far = after.difference(may_show.buffer(most + 0.05))
            for part in shapely.get_parts(far):
                half = settings["least-cut-width"] / 2 + 0.1
                wide = shapely.get_parts(part.buffer(-half).buffer(half))
                if max((one.area for one in wide), default=0) > settings["least-cut-area"] + 0.5:
                    wrong.append(f"{one['id']} keeps {part.area:.1f} mm2 that are hidden")
        if case(one["shape"])[0] == "lines" and not hides(one["shape"], settings):
            fine.append((one, before))
        if hides(one["shape"], settings):
            above = above.union(before)
            surely_above = surely_above.union(area_of(one["shape"], surely=True))
            figures["before"] += before.area
            figures["after"] += after.area
            all_before.append(before)
            all_after.append(after)
    covered = shapely.union_all(all_before)
    figures["covered"] = covered.area
    figures["union"] = abs(covered.area - shapely.union_all(all_after).area)
    return wrong, figures


def run(into, files):
    subprocess.run(
        ["cargo", "run", "--release", "--quiet", "--locked", "-p", "hoopwright-cut-layers",
         "--example", "before_and_after", "--", str(into), *map(str, files)],
        check=True, cwd=ROOT,
    )
    return [json.loads((into / file.name).read_text()) for file in files]


def main():
    TARGET.mkdir(parents=True, exist_ok=True)
    files = []
    for seed in range(DRAWINGS):
        file = TARGET / f"random-{seed:03}.json"
        file.write_text(json.dumps(drawing(seed)))
        files.append(file)
    files += [pathlib.Path(name).resolve() for name in sys.argv[1:]]
    once = run(TARGET / "once", files)
    again = []
    for file, told in zip(files, once):
        file = TARGET / "once-cut" / file.name
        file.parent.mkdir(exist_ok=True)
        file.write_text(json.dumps(told["after"]))
        again.append(file)
    twice = run(TARGET / "twice", again)
    failed = 0
    sums = {}
    for file, told, second in zip(files, once, twice):
        wrong, figures = judge(told)
        areas = [[area_of(one["shape"]).area for one in second[key]["objects"]]
                 for key in ("before", "after")]
        if sum(areas[0]) - sum(areas[1]) > 0.02 * sum(areas[0]):
            wrong.append(f"cutting again takes {sum(areas[0]) - sum(areas[1]):.2f} mm2 more")
        for key, value in figures.items():
            sums[key] = sums.get(key, 0.0) + value
        if wrong:
            failed += 1
            print(f"{file.name}:")
            for line in wrong:
                print(f"  {line}")
    stacked = [100 * (sums[key] - sums["covered"]) / sums["covered"] for key in ("before", "after")]
    print(
        f"{len(files)} drawings: layers beneath layers {stacked[0]:.1f} % before, {stacked[1]:.1f} % after;"
        f" left out though it showed {sums['lost']:.2f} mm2 of {sums['covered']:.0f}; {failed} wrong"
    )
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
