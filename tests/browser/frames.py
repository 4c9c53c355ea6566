"""How many frames a second the page keeps on a large design: playing, scrubbing, near, far."""

import statistics
import time

SECONDS = 5
"""Frames a second that the median must keep; far below what a machine at rest shows."""
LEAST = 30

WATCH = """() => {
  window.frameTimes = [];
  window.watching = true;
  const next = (now) => { window.frameTimes.push(now); if (window.watching) requestAnimationFrame(next); };
  requestAnimationFrame(next);
}"""


def watched(page, what, act):
    """Does `act` again and again for some seconds, and tells how the frames came."""
    page.evaluate(WATCH)
    end = time.monotonic() + SECONDS
    turn = 0
    while time.monotonic() < end:
        act(turn)
        turn += 1
    times = page.evaluate("() => { window.watching = false; return window.frameTimes; }")
    gaps = sorted(b - a for a, b in zip(times, times[1:]))
    rates = [1000 / gap for gap in gaps if gap > 0]
    median = statistics.median(rates)
    twentieth = rates[int(len(rates) * 0.95)]
    print(f"  {what}: {len(gaps)} frames, median {median:.1f} a second, 5th percentile {twentieth:.1f}, "
          f"longest gap {gaps[-1]:.0f} ms")
    assert median >= LEAST, f"{what}: {median:.1f} frames a second"


def rest(page):
    def wait(_):
        page.wait_for_timeout(50)
    return wait


def measure(page, stitches):
    told = page.text_content("#stitch-count").replace(",", "")
    assert int(told) == stitches, told
    page.wait_for_timeout(3000)
    box = page.locator("#cloth").bounding_box()
    middle = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.uncheck("#waits")
    page.select_option("#times", "500")

    def play():
        page.keyboard.press("Home")
        page.click("#play")

    play()
    watched(page, "playing 500 times as fast, whole", rest(page))
    page.click("#play")

    track = page.locator("#scrub").bounding_box()
    level = track["y"] + track["height"] / 2

    def along(turn):
        # To and fro, seven sweeps in the time.
        part = abs((turn * 0.02) % 2 - 1)
        page.mouse.move(track["x"] + 10 + part * (track["width"] - 20), level)
        page.wait_for_timeout(14)

    page.mouse.move(track["x"] + track["width"] - 12, level)
    page.mouse.down()
    watched(page, "scrubbing to and fro, whole", along)
    page.mouse.up()
    page.keyboard.press("End")
    page.wait_for_timeout(1500)

    def wheel(turn):
        page.mouse.wheel(0, -60 if turn // 60 % 2 == 0 else 60)
        page.wait_for_timeout(14)

    page.mouse.move(*middle)
    watched(page, "zooming in and out by wheel", wheel)
    page.click("#fit")
    for _ in range(4):
        page.click("#nearer")
    page.wait_for_timeout(1500)

    def drag(turn):
        page.mouse.move(middle[0] + 120 * ((turn * 0.02) % 2 - 1), middle[1] + 80 * ((turn * 0.013) % 2 - 1))
        page.wait_for_timeout(14)

    page.mouse.move(*middle)
    page.mouse.down()
    watched(page, "dragging, five times as near", drag)
    page.mouse.up()
    play()
    watched(page, "playing 500 times as fast, five times as near", rest(page))
    watched(page, "playing while zooming", lambda turn: (page.mouse.move(*middle), wheel(turn)))
