"""How long the steps took, and how that grows.

The bounds are the project's own acceptance values: aims to read, since times depend on the machine
and on what else it does.
"""

import numpy

# The sandbox by the ordinary function, in the median over a run's regions.
MOST_RATIO = 1.3
# Ten times the area: near n log n.
MOST_FOR_TEN = 12.0
# The 300 x 300 mm sheet with 100 holes, in the sandbox, in seconds.
SHEET, MOST_FOR_SHEET = "sheet-300-100-holes", 2.0
# Shorter times are too rough to compare, in seconds.
SHORTEST = 0.0005


def by_run(took):
    runs = {}
    for time in took:
        runs.setdefault(time["run"], {})[time["region"]] = time
    return runs


def ratios(times):
    return [one["wasm"] / one["native"] for one in times.values() if one["wasm"] is not None]


def growth(times, shapes):
    """Of each family of sizes: areas and seconds, from small to large."""
    families = {}
    for name, time in times.items():
        if shapes[name][0] == "sizes":
            family = name.split("-")[1]
            seconds = time["wasm"] if time["wasm"] is not None else time["native"]
            families.setdefault(family, []).append((shapes[name][1].area, seconds))
    return {family: sorted(points) for family, points in families.items()}


def tenfold(points):
    return [(b[0], b[1] / a[1]) for a, b in zip(points, points[1:]) if a[1] >= SHORTEST]


def table(took, shapes):
    lines = ["== times"]
    for run, times in by_run(took).items():
        for set_name in dict.fromkeys(shapes[name][0] for name in times):
            of_set = {name: t for name, t in times.items() if shapes[name][0] == set_name}
            lines.append(f"{run:14} {set_name:10} {row(of_set)}")
        lines.append(f"{run:14} {'all':10} {row(times)}")
        for family, points in growth(times, shapes).items():
            areas, seconds = numpy.log(numpy.array(points)).T
            slope = numpy.polyfit(areas, seconds, 1)[0]
            steps = ", ".join(f"{factor:.1f} to {area:.0f} mm2" for area, factor in tenfold(points))
            lines.append(f"{run:14} {family}: time grows as area^{slope:.2f}; ten times the area: {steps}")
        if SHEET in times:
            sheet = times[SHEET]
            wasm = "" if sheet["wasm"] is None else f", {sheet['wasm']:.3f} s in the sandbox"
            lines.append(f"{run:14} {SHEET}: {sheet['native']:.3f} s natively{wasm}")
    return "\n".join(lines) + "\n"


def row(times):
    native = sum(one["native"] for one in times.values()) * 1e3
    of_set = ratios(times)
    if not of_set:
        return f"{native:9.1f} ms natively"
    wasm = sum(one["wasm"] for one in times.values()) * 1e3
    low, middle, high = numpy.quantile(of_set, [0.05, 0.5, 0.95])
    return (
        f"{native:9.1f} ms natively {wasm:9.1f} ms in the sandbox; "
        f"ratio {low:.2f} (5 %) {middle:.2f} (median) {high:.2f} (95 %)"
    )


def missed(took, shapes):
    """The aims that this run missed, to be read: a busy machine must fail no change."""
    lines = []
    for run, times in by_run(took).items():
        of_run = ratios(times)
        if of_run and numpy.median(of_run) > MOST_RATIO:
            lines.append(
                f"{run}: the sandbox takes {numpy.median(of_run):.2f} times as long, at most {MOST_RATIO}"
            )
        for family, points in growth(times, shapes).items():
            for area, factor in tenfold(points):
                if factor > MOST_FOR_TEN:
                    lines.append(
                        f"{run} {family}: ten times the area, {area:.0f} mm2, takes {factor:.1f} times as "
                        f"long, at most {MOST_FOR_TEN}"
                    )
        sheet = times.get(SHEET)
        if sheet and max(sheet["native"], sheet["wasm"] or 0) > MOST_FOR_SHEET:
            lines.append(f"{run} {SHEET}: it takes more than {MOST_FOR_SHEET} s")
    return lines
