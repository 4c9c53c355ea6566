"""Designs to put in order: lists of objects with a thread and polygons, lowest first."""

import json
import math
import random

from shapely import make_valid, union_all

from drawings import design

PAGE = 60.0


def random_layers(seed, count):
    """Designs of 3 to 14 objects in 2 to 5 threads, from hardly any overlap to deep stacks."""
    rng = random.Random(seed)
    return [layers(rng, 3 + at % 12, 2 + at % 4) for at in range(count)]


def layers(rng, objects, threads):
    largest = rng.choice([8.0, 14.0, 24.0, 40.0])
    return [
        {"thread": rng.randrange(threads), "polygons": [outline(rng, largest)]}
        for _ in range(objects)
    ]


def outline(rng, largest):
    """A blob, a bar, a star or a ring somewhere on the page."""
    size = largest * rng.uniform(0.25, 1.0) / 2
    x, y = (rng.uniform(size, PAGE - size) for _ in range(2))
    kind = rng.choice(["blob", "bar", "star", "ring"])
    turn = rng.uniform(0, math.pi)
    if kind == "bar":
        corners = [(-size, -size / 5), (size, -size / 5), (size, size / 5), (-size, size / 5)]
        corners = [
            (a * math.cos(turn) - b * math.sin(turn), a * math.sin(turn) + b * math.cos(turn)) for a, b in corners
        ]
    elif kind == "star":
        corners = around(10, turn, lambda at: size * (1.0 if at % 2 else 0.45))
    else:
        corners = around(18, turn, lambda at: size * rng.uniform(0.85, 1.0))
    holes = [around(12, turn, lambda at: size * 0.55)] if kind == "ring" else []
    place = lambda ring: [[round(x + a, 3), round(y + b, 3)] for a, b in ring]
    return {"outer": place(corners), "holes": [place(hole) for hole in holes]}


def around(count, turn, radius):
    return [
        (radius(at) * math.cos(turn + at * math.tau / count), radius(at) * math.sin(turn + at * math.tau / count))
        for at in range(count)
    ]


def of_file(file):
    """The shapes of a sewn drawing in the order of the file; lines as their strokes."""
    given = []
    for item in design.read(file)["objects"]:
        whole = make_valid(union_all(design.parts(item)))
        pieces = [piece for piece in getattr(whole, "geoms", [whole]) if piece.geom_type == "Polygon"]
        ring = lambda line: [[x, y] for x, y in line.coords[:-1]]
        polygons = [
            {"outer": ring(piece.exterior), "holes": [ring(hole) for hole in piece.interiors]} for piece in pieces
        ]
        if polygons:
            given.append({"thread": item["thread"], "polygons": polygons})
    # What json writes and reads again is what both sides judge.
    return json.loads(json.dumps(given))
