"""Letters, digits and signs of an open script typeface, at the sizes of patches and cap fronts."""

import shapely
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont

from region_sets.curves import cubic, even_odd, quadratic

SIGNS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789&@%?!$"
# Height of the em square, in mm; the letters are about two thirds of it.
SIZES = [8, 12, 16, 24, 36, 60]


def rings(glyphs, name):
    """The closed outlines of a glyph, in the font's units with y up."""
    pen = DecomposingRecordingPen(glyphs)
    glyphs[name].draw(pen)
    outlines, here = [], []
    for operator, points in pen.value:
        if operator == "moveTo":
            here = [points[0]]
        elif operator == "lineTo":
            here.append(points[0])
        elif operator == "curveTo":
            here += cubic(here[-1], *points)
        elif operator == "qCurveTo":
            # Between two points off the curve lies one on it.
            controls = list(points[:-1])
            for i, control in enumerate(controls):
                if i + 1 < len(controls):
                    following = controls[i + 1]
                    end = ((control[0] + following[0]) / 2, (control[1] + following[1]) / 2)
                else:
                    end = points[-1]
                here += quadratic(here[-1], control, end)
        elif operator in ("closePath", "endPath"):
            outlines.append(here)
    return outlines


def shapes(path):
    font = TTFont(path)
    glyphs, names = font.getGlyphSet(), font.getBestCmap()
    units = font["head"].unitsPerEm
    made = []
    for place, sign in enumerate(SIGNS):
        size = SIZES[place % len(SIZES)]
        scale = size / units
        outlines = [
            [(x * scale, -y * scale) for x, y in ring] for ring in rings(glyphs, names[ord(sign)])
        ]
        made.append((f"letter-{names[ord(sign)]}-{size}", shapely.simplify(even_odd(outlines), 0.005)))
    return made
