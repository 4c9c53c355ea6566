"""Reads the printed worksheets back with tools from outside: pypdf for the file's structure, pdfplumber
(pdfminer, pypdfium2) for what is drawn where, pyembroidery for the machine file's own size.

    python worksheet.py

Reads target/worksheets/, which the whole-program tests of the worksheet write. It must hold that
the paper has its standard size (ISO 216, ANSI/ASME Y14.1), every fact of the report stands on a page,
every font is embedded, the document is tagged and has nothing in its metadata but a title, the
picture is as large as the page says (against the extents of the DST), the rule is 50 mm long (in
the drawing and in pixels), words do not overlap, needle numbers read on their swatches (contrast
4.5, WCAG 2.2, 1.4.3), and the thread table's head stands on each page that has rows of it.
"""

import json
import pathlib
import re
import sys

import pdfplumber
import pyembroidery
import pypdf

ROOT = pathlib.Path(__file__).resolve().parents[2]
MADE = ROOT / "target/worksheets"
MM = 25.4 / 72
# Width and height, in mm; least and most pages; the picture's scale.
CASES = {
    "owl": ((210, 297), (1, 1), 1.0),
    "owl-letter": ((215.9, 279.4), (1, 1), 1.0),
    "sixty": ((210, 297), (2, 3), 1.0),
    "alphabets": ((210, 297), (1, 1), 0.5),
}
problems = []


def must(case, holds, what):
    if not holds:
        problems.append(f"{case}: {what}")


def structure(case, file, report):
    """What the file is, apart from what is drawn."""
    pdf = pypdf.PdfReader(file)
    root = pdf.trailer["/Root"]
    title = report["worksheet"]["title"]
    must(case, dict(pdf.metadata or {}) == {"/Title": title}, f"metadata {pdf.metadata}")
    must(case, root.get("/Lang") == "en", "no language")
    must(case, root["/MarkInfo"]["/Marked"], "not tagged")
    kinds = {}

    def walk(node):
        node = node.get_object() if hasattr(node, "get_object") else node
        if isinstance(node, pypdf.generic.ArrayObject):
            for one in node:
                walk(one)
        elif isinstance(node, pypdf.generic.DictionaryObject):
            kinds.setdefault(node.get("/S"), []).append(node)
            if "/K" in node:
                walk(node["/K"])

    walk(root["/StructTreeRoot"]["/K"])
    must(case, len(kinds.get("/H1", [])) == 1, "not one title")
    must(case, len(kinds.get("/Figure", [])) == 1, "not one picture")
    must(case, all("/Alt" in figure for figure in kinds.get("/Figure", [])), "a picture without words")
    must(case, len(kinds.get("/Table", [])) == 3, "not three tables")
    # The thread order: a head, every run and the sum; facts and set-up have 11 and 6 rows.
    rows = len(report["worksheet"]["runs"]) + 2 + 11 + 6
    must(case, len(kinds.get("/TR", [])) == rows, f"{len(kinds.get('/TR', []))} rows, not {rows}")
    for page in pdf.pages:
        for font in page["/Resources"].get("/Font", {}).values():
            font = font.get_object()
            for inner in font.get("/DescendantFonts", [font]):
                descriptor = inner.get_object()["/FontDescriptor"]
                embedded = {"/FontFile2", "/FontFile3"} & set(descriptor)
                must(case, embedded, f"{font['/BaseFont']} is not embedded")
            must(case, "/ToUnicode" in font, "text cannot be copied")


def channels(colour):
    """A colour's channels: one of grey, three of red, green and blue."""
    return tuple(colour) if isinstance(colour, (list, tuple)) else (colour,)


def coloured(colour):
    return len(channels(colour)) == 3


def squeezed(text):
    return re.sub(r"\s+", "", text)


def words(case, file, pages, report):
    """Everything that must be told, in the order in which the file has it: columns stay whole."""
    text = squeezed("".join(page.extract_text() for page in pypdf.PdfReader(file).pages))
    sheet = report["worksheet"]
    facts = [
        f"{sheet['width']:.1f} x {sheet['height']:.1f} mm",
        f"Stitches{sheet['stitches']}",
        f"Trims{sheet['trims']}",
        f"{sheet['top-thread']:.1f} m",
        f"{sheet['bobbin-thread']:.1f} m",
        "Machine time",
        "This rule is 50 mm long",
        "The machine's manual and the rules of your workplace go before anything",
        "Operator",
        "Date",
        "Sample approved by",
    ]
    facts += sheet["cautions"]
    facts += sheet["setup"].get("notes", [])
    facts += [value for value in sheet["setup"].values() if isinstance(value, str) and len(value) > 6]
    for fact in facts:
        must(case, squeezed(fact) in text, f"does not say {fact!r}")
    for i, page in enumerate(pages):
        said = squeezed(page.extract_text())
        must(case, f"page{i + 1}of{len(pages)}" in said, f"page {i + 1} has no number")
        head = "No.Needle" in said
        rows = re.search(r"changethread", said) is not None
        must(case, head or not rows, f"page {i + 1} has rows without a head")


def rows_of(pages):
    """The thread order as read off the pages: what stands right of each swatch, on its height."""
    rows = []
    for page in pages:
        swatches = [r for r in page.rects if r["fill"] and 15 < r["width"] < 60 and 6 < r["height"] < 18]
        swatches = [r for r in swatches if coloured(r["non_stroking_color"])]
        for swatch in sorted(swatches, key=lambda r: r["top"]):
            inside = [c for c in page.chars if swatch["x0"] <= c["x0"] <= swatch["x1"]
                      and swatch["top"] - 1 <= (c["top"] + c["bottom"]) / 2 <= swatch["bottom"] + 1]
            strip = page.crop((0, swatch["top"] - 0.5, page.width, swatch["bottom"] + 0.5))
            rows.append((swatch, inside, strip.extract_text() or ""))
    return rows


def luminance(colour):
    """WCAG 2.2, relative luminance."""
    colour = list(colour) * 3 if len(colour) == 1 else colour
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def order(case, pages, report):
    runs = report["worksheet"]["runs"]
    rows = rows_of(pages)
    must(case, len(rows) == len(runs), f"{len(rows)} swatches for {len(runs)} runs")
    worst = 21.0
    for run, (swatch, inside, strip) in zip(runs, rows):
        said = squeezed(strip)
        number = "".join(c["text"] for c in sorted(inside, key=lambda c: c["x0"]))
        must(case, number == str(run["needle"]), f"run {run['position']}: needle {number!r}")
        for value in (run["code"], run["name"].split()[0], run["stitches"], f"{run['laid-thread']:.2f}"):
            must(case, squeezed(str(value)) in said, f"run {run['position']} does not say {value!r}: {said!r}")
        colour = "#" + "".join(f"{round(c * 255):02x}" for c in swatch["non_stroking_color"])
        must(case, colour == run["colour"], f"run {run['position']} is shown in {colour}")
        ground = luminance(swatch["non_stroking_color"])
        for c in inside:
            ink = luminance(channels(c["non_stroking_color"]))
            worst = min(worst, (max(ink, ground) + 0.05) / (min(ink, ground) + 0.05))
    must(case, worst >= 4.5, f"a needle's number has a contrast of {worst:.1f}")
    return worst


def picture(case, page, scale):
    """The drawn stitches against the machine file's extents. Gives both widths in mm."""
    drawn = [c for c in page.curves + page.lines if coloured(c["stroking_color"])]
    left, top = min(c["x0"] for c in drawn), min(c["top"] for c in drawn)
    right, bottom = max(c["x1"] for c in drawn), max(c["bottom"] for c in drawn)
    sewn = pyembroidery.read(str(MADE / f"{case}.dst"))
    points = [s for s in sewn.stitches if s[2] & pyembroidery.COMMAND_MASK == pyembroidery.STITCH]
    xs, ys = [p[0] / 10 for p in points], [p[1] / 10 for p in points]
    # The file's grid is 0.1 mm, and rounds both ends.
    for size, length in ((right - left, max(xs) - min(xs)), (bottom - top, max(ys) - min(ys))):
        must(case, abs(size * MM - length * scale) < 0.11, f"{size * MM:.2f} mm drawn, {length} mm sewn")
    said = squeezed(page.extract_text())
    words = "Truesize." if scale == 1 else f"At{scale * 100:.0f}%oftruesize."
    must(case, words in said, f"does not say {words}")
    return (right - left) * MM, (max(xs) - min(xs)) * scale


def rule(case, page):
    """The rule as drawn and as rendered. Gives both lengths in mm."""
    level = [c for c in page.lines if abs(c["top"] - c["bottom"]) < 0.01]
    lengths = [c for c in level if abs(c["width"] * MM - 50) < 0.05]
    must(case, len(lengths) == 1, f"{len(lengths)} lines of 50 mm")
    if not lengths:
        return 0, 0
    dpi = 600
    image = page.to_image(resolution=dpi).original.convert("L")
    y = round(lengths[0]["top"] / 72 * dpi)
    near = 3 / MM
    first, last = (round(x / 72 * dpi) for x in (lengths[0]["x0"] - near, lengths[0]["x1"] + near))
    dark = [x for x in range(first, last) if image.getpixel((x, y)) < 128]
    seen = (max(dark) - min(dark) + 1) / dpi * 25.4 if dark else 0
    # Half a pixel at each end, and half a tick's thickness.
    must(case, abs(seen - 50) < 0.35, f"the rule is {seen:.2f} mm in pixels")
    return lengths[0]["width"] * MM, seen


def overlaps(case, pages):
    for number, page in enumerate(pages, 1):
        boxes = page.extract_words(keep_blank_chars=False, use_text_flow=False)
        for i, a in enumerate(boxes):
            for b in boxes[i + 1:]:
                # Letters' own height: line boxes reach into each other by design.
                high = 0.3 * min(a["bottom"] - a["top"], b["bottom"] - b["top"])
                wide = min(a["x1"], b["x1"]) - max(a["x0"], b["x0"])
                tall = min(a["bottom"], b["bottom"]) - max(a["top"], b["top"])
                must(case, wide <= 0.5 or tall <= high, f"page {number}: {a['text']} on {b['text']}")


def main():
    print(f"{'worksheet':12} {'pages':>5} {'bytes':>8} {'picture':>8} {'sewn':>8} {'rule':>7} {'pixels':>7} {'contrast':>8}")
    for case, (size, (least, most), scale) in CASES.items():
        file = MADE / f"{case}.worksheet.pdf"
        report = json.loads((MADE / f"{case}.report.json").read_text(encoding="utf-8"))
        structure(case, file, report)
        with pdfplumber.open(file) as pdf:
            pages = pdf.pages
            must(case, least <= len(pages) <= most, f"{len(pages)} pages")
            for page in pages:
                for side, mm in zip((page.width, page.height), size):
                    must(case, abs(float(side) * MM - mm) < 0.1, f"a side of {float(side) * MM:.1f} mm")
            words(case, file, pages, report)
            contrast = order(case, pages, report)
            drawn, sewn = picture(case, pages[0], scale)
            length, seen = rule(case, pages[0])
            overlaps(case, pages)
            print(f"{case:12} {len(pages):5} {file.stat().st_size:8} {drawn:8.2f} {sewn:8.2f} {length:7.3f} {seen:7.2f} {contrast:8.1f}")
    for problem in problems:
        print(problem)
    sys.exit(1 if problems else 0)


main()
