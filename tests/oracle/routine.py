"""Judges what the general routine sewed of the open drawings, with tools from outside: a general-purpose
SVG renderer (resvg) for the artwork, GEOS for what hangs together, numpy for where thread lies in heaps.

    python routine.py [NAME...]

Reads target/routine/*.design.json, which the test of the open sets writes, and the drawings they were
sewn from; and target/routine/owl, the demo patch sewn by the routine made for it. Prints the distribution
of every measure and the worst drawings, and fails where a bound is broken.
"""

import multiprocessing
import pathlib
import sys

import numpy as np
from PIL import Image

from drawings import design, hanging, painted, stacked

ROOT = pathlib.Path(__file__).resolve().parents[2]
SEWN = ROOT / "target/routine"
DRAWN = ROOT / "target/open-sets/svg"
WORST = SEWN / "worst"

# What must hold of each drawing: the artwork's colour on top at 99 % of the inside of what is drawn, and
# no more trims than what hangs together needs.
RIGHT = 0.99

# Heaps of thread should lie on at most 0.5 % of a drawing's area; on the owl they do. A sixth of the
# drawings miss that: their details are 1 to 3 mm wide, and in a cell of 2 mm beneath such a detail or along
# a border two underlays and two edges meet. What is reached is held: so many drawings, and so much at the
# worst.
HEAPS = 0.005
MOST_WITH_HEAPS = 52
WORST_HEAPS = 0.05


def judged(file):
    sewn = design.read(file)
    name = file.name.removesuffix(".design.json")
    seen = painted.judged(sewn, DRAWN / f"{name}.svg")
    cells, heaps, most = stacked.judged(sewn)
    trims, parts, changes = hanging.judged(sewn)
    wrong, bare = int(seen["wrong"].sum()), int(seen["bare"].sum())
    share = (wrong + bare) / max(1, seen["inside"])
    if share > 1 - RIGHT:
        WORST.mkdir(exist_ok=True)
        picture = np.full(seen["wrong"].shape + (3,), 255, np.uint8)
        picture[seen["wrong"]] = (220, 0, 0)
        picture[seen["bare"]] = (0, 0, 220)
        Image.fromarray(picture).save(WORST / f"{name}.png")
    return {
        "name": name,
        "wrong": wrong / max(1, seen["inside"]),
        "bare": bare / max(1, seen["inside"]),
        "heaps": heaps / max(1, cells),
        "most": most,
        "trims": trims,
        "parts": parts,
        "changes": changes,
        "over": trims - (parts - 1 + changes),
    }


def main(names):
    files = sorted(SEWN.glob("*.design.json"))
    files = [file for file in files if not names or file.name.removesuffix(".design.json") in names]
    if not files:
        sys.exit("nothing was sewn: run the test of the open sets first (see .ci/run)")
    with multiprocessing.Pool() as pool:
        found = pool.map(judged, files, chunksize=2)
    print(f"{len(found)} drawings")
    spread("colour of another thread on top, %", [100 * one["wrong"] for one in found])
    spread("no thread, %", [100 * one["bare"] for one in found])
    spread("area with over 10 mm/mm2, %", [100 * one["heaps"] for one in found])
    spread("most thread, mm/mm2", [one["most"] for one in found])
    spread("trims", [one["trims"] for one in found])
    spread("trims by what hangs together", [one["parts"] - 1 for one in found])
    spread("thread changes", [one["changes"] for one in found])
    print(f"trims in all {sum(one['trims'] for one in found)}, bound {sum(one['parts'] - 1 for one in found)}")
    broken = []
    for one in found:
        if one["wrong"] + one["bare"] > 1 - RIGHT:
            broken.append(f"{one['name']}: {100 * one['wrong']:.2f} % wrong, {100 * one['bare']:.2f} % bare")
        if one["heaps"] > WORST_HEAPS:
            broken.append(f"{one['name']}: {100 * one['heaps']:.2f} % over 10 mm/mm2, most {one['most']:.1f}")
        if one["over"] > 0:
            broken.append(f"{one['name']}: {one['trims']} trims, {one['parts']} parts, {one['changes']} changes")
    heaped = sum(one["heaps"] > HEAPS for one in found)
    print(f"{heaped} drawings with over {100 * HEAPS} % of heaps")
    if heaped > MOST_WITH_HEAPS:
        broken.append(f"{heaped} drawings have heaps of thread, more than {MOST_WITH_HEAPS}")
    cells, heaps, most = stacked.judged(design.read(SEWN / "owl/owl.design.json"))
    print(f"the owl: {heaps} of {cells} cells with over 10 mm/mm2, most {most:.1f}")
    if heaps > HEAPS * cells:
        broken.append(f"owl: {heaps} heaps of thread on {cells} cells")
    if broken:
        print(f"{len(broken)} bounds are broken:")
        print("\n".join(f"  {line}" for line in broken))
        sys.exit(1)
    print("All bounds hold.")


def spread(what, values):
    low, half, high, most = np.percentile(values, [0, 50, 95, 100])
    print(f"  {what}: least {low:.2f}, median {half:.2f}, 95 of 100 under {high:.2f}, most {most:.2f}")


if __name__ == "__main__":
    main(sys.argv[1:])
