// All together: a frame is drawn when something has changed, and while the machine sews.

/** Milliseconds of work on the picture in one frame. */
const WORK = 9;
/** So long without a change of view, in milliseconds, and the cloth is at rest. */
const REST = 120;
/** Words are told so often while the machine sews, in milliseconds. */
const TELLING = 80;

let asked = false, before = null, told = 0, lastView = null, movedAt = 0;

const design = new Design(JSON.parse(byId("story").textContent));
const cloth = byId("cloth");
const frame = new Frame(cloth, design.bounds);
const picture = new Picture(design, byId("thread"));
const marks = new Marks(design, byId("marks"), byId("needle"));
const beneath = new Beneath(design.artwork, byId("beneath"), wake);
const sewing = new Sewing(design);
const strip = new Strip(design, byId("strip"));
const controls = new Controls(design, sewing, frame, wake);
const contents = new Contents(design, byId("contents"), (at) => {
  sewing.pause();
  sewing.goTo(at);
  wake();
  controls.tell();
});
new Keys(controls, frame, wake);
new Gestures(cloth, frame, wake);

function wake() {
  if (asked) return;
  asked = true;
  requestAnimationFrame(draw);
}

function draw(now) {
  asked = false;
  // A page that was out of sight does not make up for it.
  const passed = before === null ? 0 : Math.min(1, (now - before) / 1000);
  const wasPlaying = sewing.playing;
  sewing.goOn(passed);
  const { view, ratio } = frame;
  if (!lastView?.is(view)) { lastView = view; movedAt = now; scale(); }
  const deadline = performance.now() + WORK;
  picture.want(view, sewing.at, controls.without);
  picture.follow(deadline - WORK / 2);
  const busy = picture.work(deadline);
  picture.place(view, ratio);
  const sharp = beneath.draw(frame, now - movedAt > REST);
  marks.draw(frame, sewing.at, controls.shown);
  if (!sewing.playing || now - told > TELLING) {
    told = now;
    controls.update();
    contents.mark(sewing.at);
  }
  if (wasPlaying && !sewing.playing) controls.tell();
  before = sewing.playing ? now : null;
  if (sewing.playing || busy || !sharp) wake();
}

/** A ruler of a round length. */
function scale() {
  const perMm = frame.pixelsPerMm;
  const mm = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500].findLast((mm) => mm * perMm <= 110) ?? 0.1;
  byId("ruler-line").style.width = `${mm * perMm}px`;
  byId("ruler-words").textContent = `${mm} mm`;
}

function resize() {
  const changed = frame.measure();
  if (changed || !picture.front) {
    if (frame.fitted) frame.fit();
    for (const layer of [picture, marks, beneath]) layer.resize(frame.width, frame.height);
    wake();
  }
  strip.draw();
}

new ResizeObserver(resize).observe(cloth);
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => strip.draw());
resize();
