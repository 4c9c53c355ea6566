"""Pictures of the regions that came out worst: the region red, so that what no thread covers shows."""

import shapely

from measures.bounds import BOUNDS

COLOURS = {"cover": "#2b5c8a", "underlay": "#e0a030", "travel": "#30a050", "tie": "#000000"}
# Of each measure.
WORST = 4


def svg(sewn):
    left, top, right, bottom = sewn.region.buffer(1).bounds
    width, height = right - left, bottom - top
    pixels = 1200 / max(width, height)
    shape = "".join(ring(line) for line in shapely.get_rings(shapely.get_parts(sewn.region)))
    drawn = [f'<path d="{shape}" fill="#e03030" fill-rule="evenodd"/>']
    for role, colour in COLOURS.items():
        of_role = sewn.roles == role
        steps = "".join(
            f"M{a[0]:.3f} {a[1]:.3f}L{b[0]:.3f} {b[1]:.3f}"
            for a, b in zip(sewn.starts[of_role], sewn.ends[of_role])
        )
        if role == "cover":
            # As wide as the thread and the weave around it hide the cloth; and the thread's middle.
            drawn.append(f'<path d="{steps}" stroke="#c8d8e8" stroke-width="0.45"/>')
        width_of = 0.05 if role == "cover" else 0.08
        drawn.append(f'<path d="{steps}" stroke="{colour}" stroke-width="{width_of}"/>')
    drawn.append(f'<path d="{shape}" stroke="#000" stroke-width="0.03"/>')
    body = "\n".join(drawn)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{left:.3f} {top:.3f} {width:.3f} {height:.3f}" '
        f'width="{width * pixels:.0f}" height="{height * pixels:.0f}">\n'
        '<rect x="-1000" y="-1000" width="4000" height="4000" fill="#fff"/>\n'
        f'<g fill="none" stroke-linecap="round" stroke-linejoin="round">\n{body}\n</g></svg>\n'
    )


def ring(line):
    corners = "L".join(f"{x:.3f} {y:.3f}" for x, y in line.coords)
    return f"M{corners}Z"


def write(folder, found):
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.glob("*.svg"):
        old.unlink()
    for bound in BOUNDS:
        worse = [
            (values[bound.measure], place)
            for place, (one, values) in enumerate(found)
            if bound.measure in values and one.step in bound.steps and not bound.kept(values[bound.measure])
        ]
        worse.sort(reverse=bound.most is not None)
        for value, place in worse[:WORST]:
            sewn = found[place][0]
            path = folder / f"{bound.measure}-{sewn.name}.svg"
            path.write_text(svg(sewn))
