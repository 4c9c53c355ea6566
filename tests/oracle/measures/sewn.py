"""Regions, and what was sewn on them, as the files in target/craft hold them."""

import dataclasses
import json

import numpy
import shapely


@dataclasses.dataclass
class Sewn:
    """One region as one run sewed it. Lengths in mm."""

    run: str
    step: str
    set: str
    name: str
    settings: dict
    region: shapely.Geometry
    failure: str | None
    findings: list
    # Moves of the needle: where from, where to, and what for. A move belongs to the role of the
    # stitch it leads to.
    starts: numpy.ndarray
    ends: numpy.ndarray
    roles: numpy.ndarray
    jumps: int

    @property
    def density(self):
        return self.settings["density"]

    @property
    def compensation(self):
        return self.settings["pull-compensation"]

    @property
    def lengths(self):
        return numpy.hypot(*(self.ends - self.starts).T)

    @property
    def lines(self):
        return shapely.linestrings(numpy.stack([self.starts, self.ends], axis=1))


def polygons(record):
    parts = [shapely.Polygon(part["outer"], part["holes"]) for part in record["polygons"]]
    return shapely.MultiPolygon(parts)


def regions(folder):
    records = json.loads((folder / "regions.json").read_text())
    return {record["name"]: (record["set"], polygons(record)) for record in records}


def moves(blocks):
    """Starts, ends and roles of the moves between neighbouring needle points, and the jumps."""
    places, needle, roles, jumps = [], [], [], 0
    for block in blocks:
        count = len(block["x"])
        places.append(numpy.column_stack([block["x"], block["y"]]))
        needle.append(numpy.full(count, block["kind"] == "needle"))
        roles.append(numpy.full(count, block["role"]))
        if block["kind"] in ("jump", "trim"):
            jumps += count
    if not places:
        none = numpy.empty((0, 2))
        return none, none, numpy.empty(0, dtype="<U8"), jumps
    places, needle, roles = map(numpy.concatenate, (places, needle, roles))
    # The needle point just after a jump lies at the jump's own place and is no move.
    sewn = needle[1:] & needle[:-1]
    return places[:-1][sewn], places[1:][sewn], roles[1:][sewn], jumps


def sewn(path, regions):
    """What the file of a run holds, region by region."""
    with path.open() as lines:
        header = json.loads(next(lines))
        for line in lines:
            record = json.loads(line)
            set_name, region = regions[record["region"]]
            starts, ends, roles, jumps = moves(record["stitches"])
            yield Sewn(
                run=header["run"],
                step=header["step"],
                settings=header["settings"],
                set=set_name,
                name=record["region"],
                region=region,
                failure=record["failure"],
                findings=record["findings"],
                starts=starts,
                ends=ends,
                roles=roles,
                jumps=jumps,
            )
