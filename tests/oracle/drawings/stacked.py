"""Thread that lies in heaps: mm of thread per mm2 on a grid of 2 mm. One full layer is 5, two are 10;
more than 10 is worth a warning (a proposal; no published value)."""

import numpy as np

from .design import threads_laid

CELL = 2.0
PIECE = 0.25
TOO_MUCH = 10.0


def judged(design):
    """(cells with thread, cells with more than 10 mm/mm2, the most)."""
    left, top = design["page"]["least"]["x"], design["page"]["least"]["y"]
    ends = np.array([one[2:] for one in threads_laid(design)]).reshape(-1, 4)
    length = np.hypot(ends[:, 2] - ends[:, 0], ends[:, 3] - ends[:, 1])
    count = np.maximum(1, np.ceil(length / PIECE)).astype(int)
    which = np.repeat(np.arange(len(ends)), count)
    part = (np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count) + 0.5) / count[which]
    x = ends[which, 0] + (ends[which, 2] - ends[which, 0]) * part
    y = ends[which, 1] + (ends[which, 3] - ends[which, 1]) * part
    across = np.floor((x - left) / CELL).astype(int)
    down = np.floor((y - top) / CELL).astype(int)
    across -= across.min(initial=0)
    down -= down.min(initial=0)
    cells = np.zeros((down.max(initial=0) + 1, across.max(initial=0) + 1))
    np.add.at(cells, (down, across), (length / count)[which])
    per_area = cells / CELL**2
    return int((per_area > 0).sum()), int((per_area > TOO_MUCH).sum()), float(per_area.max(initial=0))
