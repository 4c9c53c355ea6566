"""Prints the records of a DST file as JSON lines, as a reader from outside this project sees them.

    python dst_records.py FILE.dst

Each line is one record: {"dx": .., "dy": .., "kind": "stitch" | "jump" | "change" | "end"}, with
moves in 0.1 mm and y UP, as in the file. The last record is the end.

The reader is pyembroidery 1.5.1 (see requirements.txt). It is asked for the records alone: it would
otherwise put trims of its own where it finds three jumps, and drop jumps that come back. It adds the
end itself, so this says nothing about whether the file has one; and its header is not used, since it
takes some of its fields otherwise than the layout has them.
"""

import json
import sys

import pyembroidery

KINDS = {
    pyembroidery.STITCH: "stitch",
    pyembroidery.JUMP: "jump",
    pyembroidery.COLOR_CHANGE: "change",
    pyembroidery.END: "end",
}


def records(path):
    pattern = pyembroidery.read_dst(path, {"trim_at": None, "clipping": False})
    if pattern is None:
        sys.exit(f"{path}: it cannot be read as DST")
    x = y = 0
    for to_x, to_y, command in pattern.stitches:
        kind = KINDS.get(command & pyembroidery.COMMAND_MASK)
        if kind is None:
            sys.exit(f"{path}: a record is neither stitch, jump, colour change nor end")
        # The library keeps y down and sums the moves up; both are undone here.
        yield {"dx": round(to_x - x), "dy": round(y - to_y), "kind": kind}
        x, y = to_x, to_y


def main():
    if len(sys.argv) != 2:
        sys.exit("usage: dst_records.py FILE.dst")
    for record in records(sys.argv[1]):
        print(json.dumps(record))


if __name__ == "__main__":
    main()
