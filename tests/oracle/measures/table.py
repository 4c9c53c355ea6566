"""The measures of a run in print."""

import numpy

from measures.bounds import pool

# Measure, its heading, whether larger is worse, and how it is printed.
COLUMNS = [
    ("coverage", "thread covers %", False, 100),
    ("cover", "cover alone covers %", False, 100),
    ("outside", "outside %", True, 100),
    ("length", "cover length x row distance / area, from 25 mm2", True, 1),
    ("length_sewn_area", "the same by the area grown by pull compensation", True, 1),
    ("jumps", "jumps too many", True, 1),
    ("under_half", "stitches under 0.5 mm", True, 1),
    ("under_one", "under 1 mm %", True, 100),
    ("shortest", "shortest stitch mm", False, 1),
    ("longest", "longest move mm", True, 1),
    ("in_sight", "travel in sight mm", True, 1),
    ("astray", "travel astray mm", True, 1),
]
WORST = 15


def of_run(run, found):
    lines = [f"== {run}: {len(found)} regions, {sum(v['stitches'] for _, v in found)} stitches"]
    sets = list(dict.fromkeys(one.set for one, _ in found))
    for measure, heading, more_is_worse, scale in COLUMNS:
        lines.append(f"\n-- {heading}: median, worst 1 %, worst")
        for name in [*sets, "all"]:
            worse = [
                (values[measure] * scale, one.name)
                for one, values in found
                if name in (one.set, "all") and measure in values and counts(measure, values)
            ]
            if not worse:
                continue
            worse.sort(reverse=more_is_worse)
            numbers = numpy.array([number for number, _ in worse])
            lines.append(
                f"{name:10} {len(worse):4} {numpy.median(numbers):9.3f} "
                f"{numbers[len(numbers) // 100]:9.3f} {numbers[0]:9.3f}  {worse[0][1]}"
            )
        # The last list was that of all sets.
        lines.append("worst: " + ", ".join(f"{name} {number:.4g}" for number, name in worse[:WORST]))
    under = pool("under_one", [values for _, values in found])
    lines.append(f"\nstitches under 1 mm in the whole run: {under:.3%}")
    findings = sum(len(one.findings) for one, _ in found)
    lines.append(f"findings: {findings}\n")
    return "\n".join(lines)


def counts(measure, values):
    # On tiny regions the ends of the rows outweigh the rows.
    return not measure.startswith("length") or values["area"] >= 25.0
