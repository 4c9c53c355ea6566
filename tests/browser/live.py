"""The live page in a browser: what is saved is seen, the view is kept, errors are shown.

Needs playwright (Apache-2.0) and a Chromium:
    python tests/browser/live.py PROGRAM [CHROMIUM] [FOLDER FOR PICTURES]
"""

import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

from playwright.sync_api import sync_playwright

root = pathlib.Path(__file__).resolve().parents[2]
program = pathlib.Path(sys.argv[1]).resolve()
chromium = sys.argv[2] if len(sys.argv) > 2 else shutil.which("chromium")
pictures = pathlib.Path(sys.argv[3]) if len(sys.argv) > 3 else None


def save(path, text):
    beside = path.with_suffix(".new")
    beside.write_text(text)
    os.replace(beside, path)


def main():
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        demo = pathlib.Path(folder) / "demo"
        shutil.copytree(root / "demo-pipelines", demo)
        art, routine = demo / "owl/owl.svg", demo / "owl/owl.json"
        live = subprocess.Popen([program, "live", routine, art], stdout=subprocess.PIPE,
                                stderr=subprocess.DEVNULL, text=True)
        try:
            address = live.stdout.readline().split()[0]
            browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
            check(browser, address, art, routine, live)
            browser.close()
        finally:
            live.kill()
            live.wait()
    print("live page: all well")


def check(browser, address, art, routine, live):
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    page.set_default_timeout(60_000)
    problems = []
    page.on("pageerror", lambda error: problems.append(str(error)))
    page.on("console", lambda line: problems.append(line.text) if line.type == "error" else None)
    foreign = []
    page.on("request", lambda asked: None if asked.url.startswith(address) else foreign.append(asked.url))

    def picture(name):
        if pictures:
            pictures.mkdir(parents=True, exist_ok=True)
            page.wait_for_timeout(300)
            page.screenshot(path=pictures / f"{name}.png")

    def reaches(phase):
        page.wait_for_selector(f'#state[data-phase="{phase}"]')

    def view():
        return [float(number) for number in page.get_attribute("#picture svg", "viewBox").split()]

    page.goto(address)
    page.wait_for_selector("#picture svg")
    reaches("up-to-date")
    page.wait_for_selector("#products a")
    assert re.search(r"\d+ stitches", page.text_content("#summary"))
    picture("good")

    # Nearer by the wheel: the point under the pointer stays; drag and keys move.
    whole = view()
    box = page.locator("#picture").bounding_box()
    at = (box["x"] + box["width"] * 0.4, box["y"] + box["height"] * 0.3)
    under = lambda v: (v[0] + 0.4 * v[2], v[1] + 0.3 * v[3])
    page.mouse.move(*at)
    for _ in range(4):
        page.mouse.wheel(0, -200)
    page.wait_for_timeout(200)
    near = view()
    assert near[2] < whole[2] / 3, (whole, near)
    assert all(abs(a - b) < 20 for a, b in zip(under(whole), under(near))), (whole, near)
    page.mouse.down()
    page.mouse.move(at[0] - 100, at[1] - 50, steps=5)
    page.mouse.up()
    page.wait_for_timeout(200)
    moved = view()
    assert abs(moved[0] - near[0] - 100 / box["width"] * near[2]) < 5, (near, moved)
    page.focus("#picture")
    page.keyboard.press("ArrowLeft")
    page.wait_for_timeout(200)
    kept = view()
    assert kept[0] < moved[0]

    # Saved: another picture, the same view.
    before = page.inner_html("#picture svg")
    text = art.read_text()
    save(art, text.replace('cx="56" cy="28" r="20.5"', 'cx="56" cy="28" r="18"'))
    page.wait_for_function("before => document.querySelector('#picture svg').innerHTML !== before", arg=before)
    reaches("up-to-date")
    assert view() == kept, "the view is kept"
    assert "reused" in page.text_content("#state")
    picture("near")

    # Broken: the error with file, line and step; the picture and the view stay.
    good = routine.read_text()
    save(routine, good.replace('"density"', '"densty"', 1))
    reaches("failed")
    wrong = page.text_content("#wrong")
    line = good[: good.index('"density"')].count("\n") + 1
    assert "densty" in wrong and "owl.json" in wrong and f"line {line}" in wrong and "step " in wrong, wrong
    assert view() == kept and page.locator("#picture svg path").count() > 10
    page.click("#whole")
    picture("broken")
    page.set_viewport_size({"width": 390, "height": 844})
    page.wait_for_timeout(200)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), "wider than a phone"
    picture("phone-broken")
    save(routine, good)
    reaches("up-to-date")
    assert page.is_hidden("#wrong")
    picture("phone")

    # The products open by name, shut off from the page's server.
    with page.expect_popup() as opened:
        page.click('#products a[href="/worksheet.html"]')
    sheet = opened.value
    sheet.wait_for_load_state()
    assert "Worksheet" in sheet.title()
    sheet.close()

    # The program ends: the page says so.
    assert not problems, problems
    live.kill()
    reaches("gone")
    page.set_viewport_size({"width": 1280, "height": 800})
    picture("gone")
    assert not foreign, foreign


main()
