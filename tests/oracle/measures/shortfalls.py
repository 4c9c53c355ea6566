"""Known shortfalls: bounds that some regions do not keep yet, each with the value it keeps instead.

They lie in tests/oracle/shortfalls.json, by run, measure and region. The list can only shrink: what
holds its bound, or a tighter value, must be taken out or tightened (craft.py --tighten does), and
nothing is added for a region that held the bound before.
"""

import json
import math

from measures.bounds import values_of

# A value may get worse by so much of itself before it counts: another version of a dependency moves
# a stitch here and there. Whole numbers are kept exactly.
DIGITS = 3


class Shortfalls:
    def __init__(self, path):
        self.path = path
        self.known = json.loads(path.read_text()) if path.exists() else None

    def get(self, run, measure, region):
        return (self.known or {}).get(run, {}).get(measure, {}).get(region)

    def loose(self, run, found):
        """A line for each entry that is no longer needed."""
        lines = []
        for bound, name, value in values_of(found):
            known = self.get(run, bound.measure, name)
            if known is not None and bound.kept(value):
                lines.append(f"{run} {name}: holds now: {bound.what}; craft.py --tighten takes it out")
        return lines

    def tightened(self, run, found):
        """The entries of a run as they are now: fewer and tighter ones, or all where there was no
        list at all."""
        entries = {}
        for bound, name, value in values_of(found):
            if bound.kept(value):
                continue
            now = rounded(value, up=bound.most is not None)
            known = self.get(run, bound.measure, name)
            if known is not None:
                now = min(now, known) if bound.most is not None else max(now, known)
            elif self.known is not None:
                continue
            entries.setdefault(bound.measure, {})[name] = now
        return entries

    def write(self, runs):
        known = (self.known or {}) | runs
        text = json.dumps({run: known[run] for run in sorted(known)}, indent=1, sort_keys=True)
        self.path.write_text(text + "\n")


def rounded(value, up):
    if value == int(value):
        return int(value)
    step = 10.0 ** (math.floor(math.log10(abs(value))) - DIGITS + 1)
    away = math.ceil(value / step) if up else math.floor(value / step)
    return round(away * step, 9)
