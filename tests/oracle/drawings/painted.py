"""Whether each place shows the artwork's own colour: the artwork drawn by a general-purpose SVG
renderer (resvg) against the sewn thread, drawn stitch by stitch in sewing order.

Thread is 0.4 mm wide: a 40 weight thread covers about that (common practice). Only the inside of what
is drawn is looked at: places with one colour for 0.4 mm around, for there the edges of thread and
drawing cannot be told apart.
"""

import io

import numpy as np
import resvg_py
from PIL import Image, ImageDraw

from .design import threads_laid

PIXEL = 0.08
THREAD = 0.4
INSIDE = 0.4


def judged(design, svg):
    """Pixels of the inside, and how many of them show another colour, or no thread at all."""
    drawn = artwork(design, svg)
    looked_at = inside(drawn) & (drawn >= 0)
    shown = stitches(design, drawn.shape)
    # Threads of one colour look alike.
    alike = np.array([colours(design).index(colour) for colour in colours(design)] or [0])
    same = np.where(shown >= 0, alike[np.maximum(shown, 0)], -1) == alike[np.maximum(drawn, 0)]
    wrong = looked_at & (shown >= 0) & ~same
    bare = looked_at & (shown < 0)
    return {"inside": int(looked_at.sum()), "wrong": wrong, "bare": bare}


def colours(design):
    return [(one["red"], one["green"], one["blue"]) for one in design["threads"]]


def size(design):
    page = design["page"]
    wide = page["greatest"]["x"] - page["least"]["x"]
    high = page["greatest"]["y"] - page["least"]["y"]
    return round(wide / PIXEL), round(high / PIXEL)


def artwork(design, svg):
    """For each pixel the thread of the artwork's colour there; -1 where there is none."""
    wide, high = size(design)
    png = resvg_py.svg_to_bytes(
        svg_path=str(svg), width=wide, height=high, shape_rendering="crisp_edges", skip_system_fonts=True
    )
    picture = np.array(Image.open(io.BytesIO(bytes(png))).convert("RGBA")).astype(int)
    threads = np.full(picture.shape[:2], -1)
    for place, colour in reversed(list(enumerate(colours(design)))):
        near = np.abs(picture[..., :3] - np.array(colour)).max(axis=2) <= 2
        threads[near & (picture[..., 3] > 250)] = place
    return threads


def inside(drawn):
    """Pixels with one and the same thread all around."""
    reach = round(INSIDE / PIXEL)
    least, greatest = drawn.copy(), drawn.copy()
    for axis in (0, 1):
        for picture, pick in ((least, np.minimum), (greatest, np.maximum)):
            start = picture.copy()
            for shift in range(1, reach + 1):
                for way in (shift, -shift):
                    moved = np.roll(start, way, axis=axis)
                    edge = [slice(None)] * 2
                    edge[axis] = slice(0, way) if way > 0 else slice(way, None)
                    moved[tuple(edge)] = -1 if pick is np.minimum else start.max()
                    pick(picture, moved, out=picture)
    return least == greatest


def stitches(design, shape):
    """For each pixel the thread on top; -1 where none is."""
    picture = Image.new("I", (shape[1], shape[0]), -1)
    brush = ImageDraw.Draw(picture)
    left, top = design["page"]["least"]["x"], design["page"]["least"]["y"]
    thread_of = [item["thread"] for item in design["objects"]]
    to_pixel = lambda x, y: ((x - left) / PIXEL - 0.5, (y - top) / PIXEL - 0.5)
    for place, _, *ends in threads_laid(design):
        brush.line([to_pixel(*ends[:2]), to_pixel(*ends[2:])], fill=thread_of[place], width=round(THREAD / PIXEL))
    return np.array(picture)
