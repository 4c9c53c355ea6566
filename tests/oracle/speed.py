"""Does by general-purpose libraries what Hoopwright does, and says how long each took.

    cargo bench -p hoopwright --bench speed -- outside

The benchmark starts this, sends an order a line as JSON, and waits for the answer: so both sides work by
turns. Times are those of this process's own processor time, without the reading of orders.

  {"do": "open", "file": PATH}   reads a DST file once; answers {"records": ..}
  {"do": "read"}                 reads it again from memory
  {"do": "write"}                writes what was read into memory
  {"do": "region", "polygons": [[outer, [hole, ..]], ..], "levels": [y, ..]}
                                 takes a region, and rows at these heights; answers {"length": ..} in mm
  {"do": "clip"}                 clips the rows to the region again

The libraries are the DST reader of requirements.txt, and shapely (GEOS), which gets all rows at once as an
array.
"""

import io
import json
import pathlib
import sys
import time

import numpy
import pyembroidery
import shapely


class Work:
    def __init__(self):
        self.bytes = self.pattern = self.shape = self.rows = None

    def open(self, order):
        self.bytes = pathlib.Path(order["file"]).read_bytes()
        self.pattern = pyembroidery.read_dst(io.BytesIO(self.bytes), {"trim_at": None, "clipping": False})
        return {"records": len(self.pattern.stitches)}

    def read(self, _):
        pyembroidery.read_dst(io.BytesIO(self.bytes), {"trim_at": None, "clipping": False})

    def write(self, _):
        pyembroidery.write_dst(self.pattern, io.BytesIO())

    def region(self, order):
        polygons = [shapely.Polygon(outer, holes) for outer, holes in order["polygons"]]
        self.shape = shapely.MultiPolygon(polygons)
        left, _, right, _ = self.shape.bounds
        ends = [[(left - 1, y), (right + 1, y)] for y in order["levels"]]
        self.rows = shapely.linestrings(numpy.array(ends))
        return {"length": float(shapely.length(self.clipped()).sum())}

    def clipped(self):
        return shapely.intersection(self.rows, self.shape)

    def clip(self, _):
        self.clipped()


def main():
    work = Work()
    for line in sys.stdin:
        order = json.loads(line)
        before = time.process_time()
        answer = getattr(work, order["do"])(order) or {}
        answer["seconds"] = time.process_time() - before
        print(json.dumps(answer), flush=True)


if __name__ == "__main__":
    main()
