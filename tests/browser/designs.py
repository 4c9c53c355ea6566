"""Designs for the browser test, made without the program; and what a person would read in one."""

import json


def large(stitches):
    """A design of so many stitches: square patches of rows, in eight threads, a trim after each patch."""
    threads = [
        {"name": f"Bank {n + 1}", "code": f"K{n + 1:02}", "red": 40 + 25 * n, "green": 200 - 20 * n,
         "blue": 60 + (90 * n) % 180, "weight": 40}
        for n in range(8)
    ]
    across, side, gap, step = 14, 23.0, 0.2, 3.0
    objects, left = [], stitches
    patches = [[] for _ in threads]
    place = 0
    while left > 0:
        x0, y0 = (place % across) * (side + 1), (place // across % across) * (side + 1)
        points, row = [], 0
        while row * gap <= side and len(points) < left:
            along = [min(n * step, side) for n in range(int(side / step) + 2)]
            along = along if row % 2 == 0 else along[::-1]
            turned = place % 2 == 1
            points += [(x0 + (row * gap if turned else a), y0 + (a if turned else row * gap)) for a in along]
            row += 1
        points = points[:left]
        left -= len(points)
        patches[place % len(threads)].append((place, points))
        place += 1
    for thread, of_thread in enumerate(patches):
        for k, (place, points) in enumerate(of_thread):
            under = len(points) // 8
            stitches_of = [
                {"kind": "Needle", "role": role, "x": [x for x, _ in part], "y": [y for _, y in part]}
                for role, part in (("Underlay", points[:under]), ("Cover", points[under:]))
            ]
            if k + 1 < len(of_thread):
                x, y = of_thread[k + 1][1][0]
                stitches_of.append({"kind": "Trim", "role": "Travel", "x": [x], "y": [y]})
            objects.append({"id": f"patch-{place}", "name": f"patch {place}", "thread": thread,
                            "shape": "Manual", "stitches": stitches_of})
    edge = across * (side + 1)
    page = {"least": {"x": 0.0, "y": 0.0}, "greatest": {"x": edge, "y": edge}}
    return {"title": f"{stitches} stitches", "page": page, "threads": threads, "objects": objects}


def hostile():
    """A small design whose names would leave their elements."""
    name = "</script></title><img src=x onerror=alert(1)><script>alert(1)</script>"
    design = large(3000)
    design["title"] = name
    for thread in design["threads"]:
        thread["name"] = name
    for place, entry in enumerate(design["objects"]):
        entry["name"] = name
        entry["id"] = f"{name}{place}"
    return design, name


def each_stitch(design):
    for entry in design["objects"]:
        for block in entry["stitches"]:
            for x, y in zip(block["x"], block["y"]):
                yield entry, block["kind"], (x, y)


def grid(place):
    """On the machine's grid of 0.1 mm, halves away from zero."""
    return tuple(int(abs(v) * 10 + 0.5) * (1 if v >= 0 else -1) for v in place)


def trims(design):
    """How many stitches are sewn before each trim, read from the design alone. A needle point on the last one
    is no stitch of its own; a trim right before the machine halts by itself is none."""
    found, sewn, at, thread = [], 0, None, None
    cut = False
    for entry, kind, place in each_stitch(design):
        if kind == "Stop":
            at, cut = None, False
        elif kind == "Trim":
            cut = True
        elif kind == "Needle":
            if thread is not None and entry["thread"] != thread:
                at, cut = None, False
            thread = entry["thread"]
            if at is not None and cut:
                found.append(sewn)
            if at is None or cut or grid(place) != at:
                sewn += 1
            at, cut = grid(place), False
    return found, sewn


def load(path):
    return json.loads(path.read_text())
