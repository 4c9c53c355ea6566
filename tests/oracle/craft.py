"""Judges what the fill-making steps sewed, with geometry from outside (shapely: GEOS).

    python craft.py [--tighten] [RUN...]

Reads target/craft (regions.json, stitches/*.jsonl, times.json), prints every measure for each set of
regions, writes pictures of the worst regions to target/craft/worst and fails when a bound below is
broken. Named runs only are judged when some are named; times are printed when all are. --tighten
brings the list of known shortfalls (measures/shortfalls.py) down to what is left of them. CRAFT_FOLDER names another folder to read and write.
"""

import json
import multiprocessing
import os
import pathlib
import sys

from measures import bounds, pictures, table, times
from measures.quality import measure
from measures.sewn import regions, sewn
from measures.shortfalls import Shortfalls

ROOT = pathlib.Path(__file__).resolve().parents[2]
FOLDER = pathlib.Path(os.environ.get("CRAFT_FOLDER", ROOT / "target/craft"))


def judged(one):
    return one, measure(one)


def main(wanted, tighten):
    shortfalls = Shortfalls(ROOT / "tests/oracle/shortfalls.json")
    shapes = regions(FOLDER)
    files = sorted((FOLDER / "stitches").glob("*.jsonl"))
    files = [file for file in files if not wanted or file.stem in wanted]
    if not files:
        sys.exit("nothing was sewn: run the benchmark first (see .ci/run)")
    broken, left = [], {}
    with multiprocessing.Pool() as pool:
        for file in files:
            found = list(pool.imap(judged, sewn(file, shapes), chunksize=4))
            print(table.of_run(file.stem, found), flush=True)
            if tighten:
                left[file.stem] = shortfalls.tightened(file.stem, found)
                continue
            broken += bounds.broken(file.stem, found, shortfalls)
            broken += shortfalls.loose(file.stem, found)
            pictures.write(FOLDER / "worst" / file.stem, found)
    if tighten:
        return shortfalls.write(left)
    if not wanted:
        took = json.loads((FOLDER / "times.json").read_text())
        print(times.table(took, shapes))
        print("\n".join(f"missed: {line}" for line in times.missed(took, shapes)))
    if broken:
        listed = FOLDER / "broken-bounds.txt"
        listed.write_text("\n".join(broken) + "\n")
        print(f"{len(broken)} bounds are broken (all in {listed}):")
        print("\n".join(f"  {line}" for line in broken[:60]))
        sys.exit(1)
    print("All bounds hold.")


if __name__ == "__main__":
    arguments = [argument for argument in sys.argv[1:] if argument != "--tighten"]
    main(arguments, tighten="--tighten" in sys.argv[1:])
