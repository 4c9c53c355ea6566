"""Checks the order that sew-order chooses with tools from outside: GEOS (shapely) for what overlaps, and
a dynamic programme of its own over all orders that keep the overlaps.

    python order.py [SEED]

At least 300 random layered designs, always the same for a seed, and the shapes of the open drawings in
target/routine where the test of the open sets has written them. Prints distributions, and fails where an
order breaks an overlap, where another order has fewer thread changes (or, for small designs, fewer trims
at as few changes), and where a claimed bound is none.
"""

import json
import multiprocessing
import pathlib
import subprocess
import sys
from collections import Counter

from ordering import designs, overlaps, search

ROOT = pathlib.Path(__file__).resolve().parents[2]
DRAWN = ROOT / "target/routine"
SETTINGS = {"outlines": "free", "overlap": overlaps.TOLERANCE, "trim-over": search.TRIM_OVER, "hidden-travel": 200}


def ordered(given):
    run = ["cargo", "run", "--release", "-q", "-p", "hoopwright-sew-order", "--example", "order"]
    text = json.dumps({"settings": SETTINGS, "designs": given})
    done = subprocess.run(run, cwd=ROOT, input=text, capture_output=True, text=True)
    if done.returncode != 0:
        sys.exit(f"the example did not run:\n{done.stderr}")
    return json.loads(done.stdout)


def judged(work):
    name, given, plan, must_solve = work
    shapes = [overlaps.shape(item) for item in given]
    threads = [item["thread"] for item in given]
    pairs, unclear = overlaps.pairs(shapes)
    wrong = []
    position = {place: at for at, place in enumerate(plan["order"])}
    if sorted(position) != list(range(len(given))):
        wrong.append("objects are lost or doubled")
        return {"name": name, "wrong": wrong}
    wrong += [f"{a} must come before {b}" for a, b in pairs if position[a] > position[b]]
    # The other way round only where what is sewn after both hides it.
    for a, b in unclear:
        after = [c for c in range(b + 1, len(given)) if position[c] > max(position[a], position[b])]
        if position[a] > position[b] and overlaps.shows(a, b, shapes, after):
            wrong.append(f"{a} must come before {b}: what they share is seen")
    sure = search.closure(pairs, len(given))
    may = search.closure(pairs + unclear, len(given))
    wrong += [f"{a} need not come before {b}" for a, b in plan["before"] if a not in may[b]]
    changes = search.changes(plan["order"], threads)
    if changes != plan["changes"]:
        wrong.append(f"{changes} thread changes, not {plan['changes']}")
    if plan["at-least"]["changes"] > changes:
        wrong.append(f"bound {plan['at-least']['changes']} above the reached {changes}")
    # Where overlap is unclear by the last digit, the step's own choice counts.
    before = sure if not unclear else search.closure(pairs + [tuple(p) for p in plan["before"]], len(given))
    fewest = search.fewest_changes(threads, before)
    if fewest is None and must_solve:
        wrong.append("too large to solve")
    if fewest is not None:
        if changes != fewest:
            wrong.append(f"{changes} thread changes where {fewest} would do")
        if plan["at-least"]["changes"] > fewest:
            wrong.append(f"bound {plan['at-least']['changes']} above the optimum {fewest}")
    trims = search.Trims(shapes, threads)
    if plan["incoming"]["changes"] != search.changes(range(len(given)), threads):
        wrong.append("the thread changes as drawn are miscounted")
    least, most = (
        search.Trims(shapes, threads, lenience).of(plan["order"]) for lenience in (search.PRECISION, -search.PRECISION)
    )
    reached = plan["trims"]
    if not least <= reached <= most:
        wrong.append(f"{least} to {most} trims, not {reached}")
    if plan["at-least"]["trims"] > reached:
        wrong.append(f"bound of {plan['at-least']['trims']} trims above the reached {reached}")
    best = None if trims.unclear else trims.fewest(before)
    if best is not None and best != (changes, reached):
        wrong.append(f"{changes} changes and {reached} trims, where {best} would do")
    return {
        "name": name,
        "objects": len(given),
        "wrong": wrong,
        "changes": changes,
        "solved": fewest is not None,
        "trims solved": best is not None,
        "slack": changes - plan["at-least"]["changes"],
        "trims": reached,
        "trim slack": reached - plan["at-least"]["trims"],
        "unclear": len(unclear),
        "incoming": plan["incoming"],
        "at-least": plan["at-least"],
    }


def tell(title, found):
    print(f"{title}: {len(found)} designs")
    good = [one for one in found if "objects" in one]
    for key in ["objects", "changes", "trims", "slack", "trim slack"]:
        counts = Counter(one[key] for one in good)
        print(f"  {key}: " + ", ".join(f"{value} in {counts[value]}" for value in sorted(counts)))
    for key in ["changes", "trims"]:
        drawn, least = (sum(one[part][key] for one in good) for part in ("incoming", "at-least"))
        print(f"  {key} in all: {drawn} as drawn, {sum(one[key] for one in good)} as ordered, bound {least}")
    print(
        f"  fewest changes solved {sum(one['solved'] for one in good)}, fewest trims solved"
        f" {sum(one['trims solved'] for one in good)}, overlaps unclear {sum(one['unclear'] for one in good)}"
    )


def main(seed=4):
    made = designs.random_layers(seed, 360)
    files = sorted(DRAWN.glob("*.design.json"))
    drawn = [designs.of_file(file) for file in files]
    print(f"{len(made)} random designs of seed {seed}, {len(drawn)} open drawings")
    plans = ordered(made + drawn)
    names = [f"random {at}" for at in range(len(made))] + [file.name.split(".")[0] for file in files]
    work = [(name, given, plan, at < len(made)) for at, (name, given, plan) in enumerate(zip(names, made + drawn, plans))]
    with multiprocessing.Pool() as pool:
        found = pool.map(judged, work, chunksize=4)
    tell("random", found[: len(made)])
    if drawn:
        tell("open drawings", found[len(made) :])
    else:
        print("open drawings: NONE, since target/routine is empty: run the test of the open sets first")
    broken = [f"{one['name']}: {text}" for one in found for text in one["wrong"]]
    print("\n".join(broken[:40]))
    if broken:
        sys.exit(f"{len(broken)} failures")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
