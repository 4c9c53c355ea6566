"""Outlines of curves as rings, and rings as regions."""

import shapely

STEPS = 16


def quadratic(a, b, c):
    """Points of a quadratic Bezier curve, without its first."""
    return [
        tuple((1 - t) ** 2 * p + 2 * t * (1 - t) * q + t * t * r for p, q, r in zip(a, b, c))
        for t in (i / STEPS for i in range(1, STEPS + 1))
    ]


def cubic(a, b, c, d):
    """Points of a cubic Bezier curve, without its first."""
    return [
        tuple(
            (1 - t) ** 3 * p + 3 * t * (1 - t) ** 2 * q + 3 * t * t * (1 - t) * r + t**3 * s
            for p, q, r, s in zip(a, b, c, d)
        )
        for t in (i / STEPS for i in range(1, STEPS + 1))
    ]


def even_odd(rings):
    """What an odd number of the rings enclose."""
    shape = shapely.Polygon()
    for ring in rings:
        if len(ring) >= 3:
            shape = shape ^ shapely.make_valid(shapely.Polygon(ring))
    return shape
