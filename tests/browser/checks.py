"""What must hold of the page, each as a person would try it."""

import contextlib
import io

import designs
from PIL import Image, ImageChops


@contextlib.contextmanager
def opened(browser, path, settings):
    """The page in a browser without a network. Any word on the console, any error, any request but for the
    page itself fails."""
    context = browser.new_context(offline=True, **settings)
    page = context.new_page()
    wrong = []
    page.on("console", lambda message: wrong.append(f"console: {message.text}"))
    page.on("pageerror", lambda error: wrong.append(f"error: {error}"))
    page.on("dialog", lambda dialog: wrong.append(f"dialog: {dialog.message}"))
    address = path.as_uri()
    page.on("request", lambda request: request.url == address or request.url.startswith("data:")
            or wrong.append(f"request: {request.url[:100]}"))
    page.goto(address)
    page.wait_for_timeout(700)
    yield page
    assert not wrong, wrong
    context.close()


def number(page, place="#stitch"):
    return int(page.text_content(place).replace(",", ""))


def picture(page):
    page.wait_for_timeout(350)
    return Image.open(io.BytesIO(page.locator("#cloth").screenshot())).convert("RGB")


def differing(one, other):
    """How many pixels differ."""
    grey = ImageChops.difference(one, other).convert("L")
    return sum(grey.histogram()[9:])


def near(value, wanted, by, what):
    assert abs(value - wanted) <= by, f"{what}: {value}, not {wanted}"


def pace(page, seconds):
    """Stitches a second, by the browser's own clock. The number is told about 12 times a second."""
    look = "() => [performance.now(), Number(document.getElementById('stitch').textContent.replace(',', ''))]"
    page.wait_for_timeout(400)
    first = page.evaluate(look)
    page.wait_for_timeout(seconds * 1000)
    last = page.evaluate(look)
    return (last[1] - first[1]) / (last[0] - first[0]) * 1000


def plays(page, design):
    """Play keeps the asked speed; pause stops"""
    page.keyboard.press("Home")
    page.uncheck("#waits")
    page.locator("#speed").fill("600")
    assert "600 stitches a minute" in page.text_content("label[for=speed]")
    page.click("#play")
    assert page.text_content("#play") == "Pause"
    near(pace(page, 4), 10, 1, "stitches a second")
    page.select_option("#times", "20")
    near(pace(page, 4), 200, 12, "stitches a second, 20 times")
    page.click("#play")
    stopped = number(page)
    page.wait_for_timeout(600)
    assert number(page) == stopped and page.text_content("#play") == "Play"
    page.select_option("#times", "500")
    page.click("#play")
    page.locator("#play", has_text="Play").wait_for(timeout=30_000)
    page.wait_for_timeout(200)
    assert number(page) == designs.trims(design)[1], "it stops at the last stitch"


def waits(page, design):
    """The machine waits at a trim for as long as it is told"""
    page.keyboard.press("Home")
    page.click("#on-trim")
    before, shown = number(page), page.text_content("#time")
    page.click("#play")
    page.wait_for_timeout(3000)
    assert number(page) == before, "a trim takes longer than 3 s"
    assert page.text_content("#time") != shown, "the clock goes on"
    page.wait_for_timeout(5500)
    assert number(page) > before
    page.click("#play")


def trims(page, design):
    """Every trim is found, on and back, where the design has it"""
    wanted, stitches = designs.trims(design)
    assert number(page, "#stitch-count") == stitches
    page.keyboard.press("Home")
    found = []
    for place in range(len(wanted)):
        page.click("#on-trim")
        found.append(number(page))
        assert page.text_content("#next") == f"Trim {place + 1} of {len(wanted)}"
    assert found == wanted, (found, wanted)
    page.click("#on-trim")
    assert number(page) == stitches
    for sewn in reversed(wanted):
        page.click("#back-trim")
        assert number(page) == sewn


def scrubs(page, design):
    """The bar goes to a place, by mouse and by key; the clock agrees"""
    box = page.locator("#scrub").bounding_box()
    count, level = number(page, "#stitch-count"), box["y"] + box["height"] / 2
    page.mouse.click(box["x"] + box["width"] / 2, level)
    near(number(page), count / 2, count / 50, "half way")
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] / 4, level, steps=8)
    page.mouse.up()
    quarter = number(page)
    near(quarter, count / 4, count / 25, "a quarter")
    early = picture(page)
    page.keyboard.press("ArrowRight")
    assert number(page) == quarter + 1
    page.keyboard.press("ArrowLeft")
    assert number(page) == quarter
    page.keyboard.press("End")
    assert differing(picture(page), early) > 5000
    page.locator("#scrub").fill(str(quarter))
    # Going back draws what was there.
    assert differing(picture(page), early) == 0


def shows(page, design):
    """Underlay, travel, trims and artwork come and go"""
    page.keyboard.press("Home")
    page.locator("#scrub").fill("600")
    for tick in ("underlay", "trims", "travel"):
        if tick != "underlay":
            page.keyboard.press("End")
        with_it = picture(page)
        page.uncheck(f"#{tick}")
        assert differing(picture(page), with_it) > 50, tick
        page.check(f"#{tick}")
        assert differing(picture(page), with_it) == 0, tick
    page.keyboard.press("Home")
    # The sky of the artwork, #27405f, over cloth of #f0ede5: as the customer drew it, not as the rack has it.
    for strength, colour in ((0, (240, 237, 229)), (50, (140, 151, 162)), (100, (39, 64, 95))):
        page.locator("#opacity").fill(str(strength))
        shown = picture(page)
        # Left of the owl, above the leaves.
        seen = shown.getpixel((int(shown.width * 0.5 - shown.height * 0.4), int(shown.height * 0.5)))
        assert all(abs(a - b) <= 3 for a, b in zip(seen, colour)), (strength, seen, colour)
    page.uncheck("#artwork")
    seen = picture(page).getpixel((shown.width // 2, shown.height * 3 // 4))
    assert seen == (240, 237, 229), seen


def zooms(page, design):
    """Wheel, drag and buttons move the cloth, and it comes back"""
    whole, ruler = picture(page), page.text_content("#ruler-words")
    box = page.locator("#cloth").bounding_box()
    middle = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.move(*middle)
    for _ in range(4):
        page.mouse.wheel(0, -300)
    assert differing(picture(page), whole) > 50_000 and page.text_content("#ruler-words") != ruler
    place = page.locator("#needle").bounding_box()
    page.mouse.down()
    page.mouse.move(middle[0] + 60, middle[1] - 40, steps=5)
    page.mouse.up()
    page.wait_for_timeout(100)
    after = page.locator("#needle").bounding_box()
    near(after["x"] - place["x"], 60, 1, "dragged to the right")
    near(after["y"] - place["y"], -40, 1, "dragged up")
    page.click("#fit")
    page.mouse.move(0, 0)
    assert differing(picture(page), whole) == 0
    page.click("#nearer")
    page.click("#farther")
    page.mouse.move(0, 0)
    assert differing(picture(page), whole) < 500


def keys(page, design):
    """Every key of the help does what it says"""
    press = page.keyboard.press
    press("Home")
    assert number(page) == 0
    press("ArrowRight")
    assert number(page) == 1
    press("n")
    assert number(page) == designs.trims(design)[0][0]
    press("Shift+N")
    assert number(page) == 0
    press("o")
    assert page.text_content("#object").startswith("2 of")
    press("Shift+O")
    assert number(page) == 0
    press("t")
    assert page.text_content("#next").startswith("Change to thread")
    press("Shift+T")
    assert number(page) == 0
    press("Space")
    assert page.text_content("#play") == "Pause"
    press("Space")
    assert page.text_content("#play") == "Play"
    for key, tick in (("u", "underlay"), ("r", "travel"), ("c", "trims"), ("a", "artwork")):
        press(key)
        assert not page.is_checked(f"#{tick}"), tick
        press(key)
        assert page.is_checked(f"#{tick}"), tick
    ruler = page.text_content("#ruler-words")
    for _ in range(8):
        press("+")
    page.wait_for_timeout(100)
    assert page.text_content("#ruler-words") != ruler
    place = page.locator("#needle").bounding_box()["x"]
    press("Shift+ArrowLeft")
    page.wait_for_timeout(100)
    near(page.locator("#needle").bounding_box()["x"], place + 60, 1, "look to the left")
    press("0")
    page.wait_for_timeout(100)
    assert page.text_content("#ruler-words") == ruler
    press("?")
    assert page.is_visible("#help") and page.evaluate("document.getElementById('help').scrollTop") == 0
    assert page.locator("#keys tr").count() >= 20
    page.uncheck("#letters")
    press("Escape")
    assert not page.is_visible("#help")
    at = number(page)
    press("n")
    assert number(page) == at, "letter keys are off"
    # All that can be touched is reached by Tab, and each shows it.
    reached = set()
    page.evaluate("document.activeElement.blur()")
    for _ in range(30):
        press("Tab")
        focused = "() => { const e = document.activeElement; return [e.id, getComputedStyle(e).outlineStyle]; }"
        name, outline = page.evaluate(focused)
        reached.add(name)
        assert outline != "none", name
    assert {"help-open", "nearer", "scrub", "play", "on-thread", "speed", "underlay", "opacity"} <= reached, reached


def lists(page, design):
    """The list goes to an object and marks what is sewn"""
    sewn = [entry for entry in design["objects"] if any(b["kind"] == "Needle" for b in entry["stitches"])]
    parts = page.locator("#contents .part")
    assert parts.count() == len(sewn)
    around, box = (page.locator(name).bounding_box() for name in ("#contents", "#contents .part[aria-current]"))
    assert around["y"] <= box["y"] <= around["y"] + around["height"], "what is sewn is in sight"
    for place in (0, 5, len(sewn) - 1):
        parts.nth(place).click()
        assert page.text_content("#object") == f"{place + 1} of {len(sewn)}: {sewn[place]['name']}"
        page.wait_for_timeout(200)
        marked = page.locator("#contents .part[aria-current=step]")
        assert marked.count() == 1 and sewn[place]["name"] in marked.text_content()
    names = {f"{thread['code']} {thread['name']}" for thread in design["threads"]}
    heads = page.locator("#contents .stretch").all_text_contents()
    assert all(any(name in head for name in names) for head in heads), heads


def fits_a_phone(page, design):
    """On a phone nothing sticks out, and all buttons are large enough"""
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    small = page.evaluate("""() => [...document.querySelectorAll("button, select, .tick")]
        .filter((e) => e.checkVisibility()).map((e) => [e.id || e.textContent, e.getBoundingClientRect()])
        .filter(([, box]) => box.width < 40 || box.height < 40 || box.right > 360).map(([name]) => name)""")
    assert not small, small
    assert page.is_visible(".care")


def touched(page, design):
    """Fingers play, step, pinch and drag"""
    page.tap("#back-trim")
    assert page.text_content("#next").startswith("Trim ")
    page.tap("#play")
    assert page.text_content("#play") == "Pause"
    page.tap("#play")
    ruler = page.text_content("#ruler-words")
    page.evaluate("document.getElementById('cloth').scrollIntoView()")
    box = page.locator("#cloth").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    session = page.context.new_cdp_session(page)

    def fingers(kind, *places):
        points = [{"x": a, "y": b, "id": n} for n, (a, b) in enumerate(places)]
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    fingers("touchStart", (x - 20, y), (x + 20, y))
    for step in range(1, 9):
        fingers("touchMove", (x - 20 - 10 * step, y), (x + 20 + 10 * step, y))
    fingers("touchEnd")
    page.wait_for_timeout(200)
    assert page.text_content("#ruler-words") != ruler, "two fingers bring it nearer"
    place = page.locator("#needle").bounding_box()
    fingers("touchStart", (x, y))
    for step in range(1, 5):
        fingers("touchMove", (x + 10 * step, y + 5 * step))
    fingers("touchEnd")
    page.wait_for_timeout(200)
    after = page.locator("#needle").bounding_box()
    near(after["x"] - place["x"], 40, 2, "one finger drags")
    page.locator("#contents .part").nth(3).tap()
    assert page.text_content("#object").startswith("4 of")


def contrast(page):
    """Text against what lies behind it, by the formula of WCAG 2.2: at least 4.5 to 1."""
    pairs = page.evaluate("""() => ["body", ".care", "#play", "#help-open", ".state dt", ".part[aria-current]",
        "fieldset label output"].map((name) => {
      const element = document.querySelector(name);
      let behind = element, ground;
      do { ground = getComputedStyle(behind).backgroundColor; behind = behind.parentElement; }
      while (behind && ground === "rgba(0, 0, 0, 0)");
      return [name, getComputedStyle(element).color, ground];
    })""")
    for name, ink, ground in pairs:
        light, dark = sorted((luminance(ink), luminance(ground)), reverse=True)
        assert (light + 0.05) / (dark + 0.05) >= 4.5, (name, ink, ground)


def luminance(colour):
    """Relative luminance (WCAG 2.2) of a colour as browsers tell it."""
    channels = [int(part) / 255 for part in colour[colour.index("(") + 1:-1].split(",")[:3]]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return sum(weight * c for weight, c in zip((0.2126, 0.7152, 0.0722), linear))


def keeps_names(page, name):
    assert page.text_content("h1") == name
    assert name in page.title()
    assert page.locator("img").count() == 0 and page.locator("script").count() == 2
    assert name in page.locator("#contents .part").first.text_content()


def without_script(browser, path):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(path.as_uri())
    assert page.locator("noscript p").is_visible()
    context.close()


ON_A_DESK = [plays, waits, trims, scrubs, shows, zooms, keys, lists]
ON_A_PHONE = [fits_a_phone, touched]
