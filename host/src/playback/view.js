// Which part of the cloth is seen: pixel = place * scale + shift, in pixels of the screen itself.

/** Most pixels of one layer. More would not be seen, and would cost. */
const MOST_PIXELS = 2_400_000;
/** At the nearest, this many CSS pixels show 0.1 mm. */
const NEAREST = 12;

class View {
  constructor(scale, x, y) { this.scale = scale; this.x = x; this.y = y; }

  is(other) { return this.scale === other.scale && this.x === other.x && this.y === other.y; }

  /** Moved by pixels. */
  moved(dx, dy) { return new View(this.scale, this.x + dx, this.y + dy); }

  /** So many times nearer, with the pixel (x, y) staying where it is. */
  nearer(times, x, y) {
    return new View(this.scale * times, x + (this.x - x) * times, y + (this.y - y) * times);
  }
}

/** The place where the cloth is seen. */
class Frame {
  constructor(element, bounds) {
    this.element = element;
    this.bounds = bounds;
    this.measure();
    this.fit();
  }

  /** Takes the element's size. True where it has changed. */
  measure() {
    const box = this.element.getBoundingClientRect();
    const wide = Math.max(1, box.width), high = Math.max(1, box.height);
    const ratio = Math.min(window.devicePixelRatio || 1, Math.sqrt(MOST_PIXELS / (wide * high)));
    const width = Math.max(1, Math.round(wide * ratio)), height = Math.max(1, Math.round(high * ratio));
    const changed = width !== this.width || height !== this.height || ratio !== this.ratio;
    if (changed && this.view) {
      // What was in the middle stays there.
      const by = ratio / this.ratio;
      this.view = new View(this.view.scale * by,
        width / 2 + (this.view.x - this.width / 2) * by, height / 2 + (this.view.y - this.height / 2) * by);
    }
    Object.assign(this, { width, height, ratio });
    return changed;
  }

  /** The view that shows all that is sewn. */
  whole() {
    const { left, top, right, bottom } = this.bounds;
    const margin = Math.min(28 * this.ratio, this.width / 6, this.height / 6);
    const across = Math.max(10, right - left), along = Math.max(10, bottom - top);
    const scale = Math.min((this.width - 2 * margin) / across, (this.height - 2 * margin) / along, NEAREST * this.ratio);
    return new View(scale, this.width / 2 - ((left + right) / 2) * scale, this.height / 2 - ((top + bottom) / 2) * scale);
  }

  fit() { this.view = this.whole(); this.fitted = true; }

  move(dx, dy) { this.view = this.hold(this.view.moved(dx * this.ratio, dy * this.ratio)); this.fitted = false; }

  /** `x` and `y` in CSS pixels of the element; its middle where they are left out. */
  zoom(times, x = this.width / this.ratio / 2, y = this.height / this.ratio / 2) {
    const least = this.whole().scale / 2, most = NEAREST * this.ratio;
    const scale = Math.max(Math.min(least, most), Math.min(most, this.view.scale * times));
    this.view = this.hold(this.view.nearer(scale / this.view.scale, x * this.ratio, y * this.ratio));
    this.fitted = false;
  }

  /** The view, moved so that some of what is sewn stays in sight. */
  hold(view) {
    const { left, top, right, bottom } = this.bounds;
    const within = (shift, least, most, size) => {
      const edge = Math.min(60 * this.ratio, size / 4);
      return Math.max(edge - most * view.scale, Math.min(size - edge - least * view.scale, shift));
    };
    return new View(view.scale, within(view.x, left, right, this.width), within(view.y, top, bottom, this.height));
  }

  /** How many CSS pixels show 1 mm. */
  get pixelsPerMm() { return (this.view.scale * 10) / this.ratio; }
}
