"""The playback page in a real browser, with real clicks, keys, wheel and touches.

    python playback.py PROGRAM

PROGRAM is the built hoopwright. The owl and a made design of 200,000 stitches are sewn into target/playback.
What the page tells is compared with the design JSON, read here without the program. Prints how many frames a
second the large design keeps, and fails where anything does not hold.
"""

import json
import pathlib
import subprocess
import sys

import checks
import designs
import frames
from playwright.sync_api import sync_playwright

ROOT = pathlib.Path(__file__).resolve().parents[2]
INTO = ROOT / "target/playback"
LARGE = 200_000


def make(program):
    """The pages, made by the program."""
    INTO.mkdir(parents=True, exist_ok=True)
    owl = ROOT / "demo-pipelines/owl"
    subprocess.run([program, "run", owl / "owl.json", owl / "owl.svg", "--into", INTO], check=True)
    hostile, name = designs.hostile()
    for stem, design in (("large", designs.large(LARGE)), ("hostile", hostile)):
        (INTO / f"{stem}.design.json").write_text(json.dumps(design))
        page = INTO / f"{stem}.playback.html"
        subprocess.run([program, "playback", INTO / f"{stem}.design.json", "--to", page], check=True)
        again = INTO / f"{stem}.again.html"
        subprocess.run([program, "playback", INTO / f"{stem}.design.json", "--to", again], check=True)
        assert page.read_bytes() == again.read_bytes(), f"{page} differs when written twice"
    return name


def main():
    name = make(sys.argv[1])
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        print(f"Chromium {browser.version}, without a GPU")
        owl = INTO / "owl.playback.html"
        design = designs.load(INTO / "owl.design.json")
        desk = {"viewport": {"width": 1280, "height": 860}}
        phone = {"viewport": {"width": 360, "height": 740}, "device_scale_factor": 3, "is_mobile": True,
                 "has_touch": True}
        for check in checks.ON_A_DESK:
            with checks.opened(browser, owl, desk) as page:
                check(page, design)
            print(f"  {check.__doc__}")
        for check in checks.ON_A_PHONE:
            with checks.opened(browser, owl, phone) as page:
                check(page, design)
            print(f"  {check.__doc__}")
        for scheme in ("light", "dark"):
            with checks.opened(browser, owl, desk | {"color_scheme": scheme}) as page:
                checks.contrast(page)
            print(f"  text stands out: {scheme}")
        with checks.opened(browser, INTO / "hostile.playback.html", desk) as page:
            checks.keeps_names(page, name)
        print("  names stay text")
        checks.without_script(browser, owl)
        print("  a line without JavaScript")
        with checks.opened(browser, INTO / "large.playback.html", desk) as page:
            frames.measure(page, LARGE)
        browser.close()


if __name__ == "__main__":
    main()
