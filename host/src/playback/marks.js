// What lies over the thread: where it is cut and where it goes on, thread changes, ways with the
// needle up, and the needle. Marks differ by shape, not by colour, and have a light edge.

class Marks {
  constructor(design, canvas, needle) {
    this.design = design;
    this.canvas = canvas;
    this.context = canvas.getContext("2d");
    this.needle = needle;
  }

  resize(width, height) {
    this.canvas.width = width;
    this.canvas.height = height;
    this.drawn = "";
  }

  /** Draws the marks of what is done when `at` records are. */
  draw(frame, at, { trims, travel }) {
    const { view, ratio } = frame;
    this.point(view, ratio, at);
    // The mark of a trim is there as soon as it is the next thing to do.
    const cuts = trims ? this.design.trims[Math.min(at + 1, this.design.count)] : 0;
    const halts = trims ? this.design.halts[at] : 0;
    const carried = travel ? at : 0;
    const state = [view.scale, view.x, view.y, cuts, halts, this.carriedUpTo(carried), at === 0].join();
    if (state === this.drawn) return;
    this.drawn = state;
    const c = this.context;
    c.clearRect(0, 0, this.canvas.width, this.canvas.height);
    c.lineCap = "round";
    this.drawCarried(view, ratio, carried);
    this.drawCuts(view, ratio, cuts, at);
    this.drawChanges(view, ratio, halts);
  }

  point(view, ratio, at) {
    const { x, y } = this.design;
    const left = (x[at] * view.scale + view.x) / ratio, top = (y[at] * view.scale + view.y) / ratio;
    this.needle.style.transform = `translate(${left}px,${top}px)`;
  }

  /** Ways over the cloth with the thread uncut, each from the last needle point to the next. */
  get carriedWays() {
    if (this.ways) return this.ways;
    this.ways = [];
    const { design } = this;
    for (let i = 0; i < design.count; i++) {
      if (design.passage(i) !== CARRIED) continue;
      const from = i;
      while (i + 1 < design.count && design.kind(i) === JUMP) i++;
      this.ways.push([from, i + 1]);
    }
    return this.ways;
  }

  carriedUpTo(at) {
    const ways = this.carriedWays;
    let low = 0, high = ways.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (ways[middle][1] <= at) low = middle + 1; else high = middle;
    }
    return low;
  }

  drawCarried(view, ratio, at) {
    const { x, y } = this.design;
    const path = new Path2D();
    for (const [from, to] of this.carriedWays.slice(0, this.carriedUpTo(at))) {
      path.moveTo(x[from] * view.scale + view.x, y[from] * view.scale + view.y);
      path.lineTo(x[to] * view.scale + view.x, y[to] * view.scale + view.y);
    }
    this.context.setLineDash([5 * ratio, 5 * ratio]);
    this.stroke(path, 1.5 * ratio, ratio);
    this.context.setLineDash([]);
  }

  /** A cross where the thread is cut, a ring where it goes on. */
  drawCuts(view, ratio, cuts, at) {
    const { trimAt, x, y } = this.design;
    const path = new Path2D();
    // Small where all is small, so that marks do not hide what they mark.
    const size = Math.max(3, Math.min(5, view.scale / ratio * 8)) * ratio;
    for (let k = 0; k < cuts; k++) {
      const left = x[trimAt[k]] * view.scale + view.x, top = y[trimAt[k]] * view.scale + view.y;
      if (this.outside(left, top, size)) continue;
      path.moveTo(left - size, top - size); path.lineTo(left + size, top + size);
      path.moveTo(left - size, top + size); path.lineTo(left + size, top - size);
    }
    for (let k = 0; k < cuts; k++) {
      const next = this.goesOn(trimAt[k]);
      const left = x[next] * view.scale + view.x, top = y[next] * view.scale + view.y;
      if (next > at || this.outside(left, top, size)) continue;
      path.moveTo(left + size, top);
      path.arc(left, top, size, 0, 2 * Math.PI);
    }
    this.stroke(path, size * 0.4, ratio);
  }

  /** How many records are done at the first needle point after the trim that record `i` begins. */
  goesOn(i) {
    while (i < this.design.count && this.design.kind(i) === JUMP) i++;
    return Math.min(i + 1, this.design.count);
  }

  /** A square with the thread's number where the machine goes on after a halt. */
  drawChanges(view, ratio, halts) {
    const { runs, x, y } = this.design;
    const c = this.context;
    const near = Math.max(0.7, Math.min(1, (view.scale / ratio) * 1.6)) * ratio;
    c.font = `bold ${11 * near}px system-ui, sans-serif`;
    c.textAlign = "center";
    c.textBaseline = "middle";
    for (let k = 1; k <= halts && k < runs.length; k++) {
      const next = this.goesOn(runs[k].first + 1);
      const left = x[next] * view.scale + view.x, top = y[next] * view.scale + view.y;
      const words = String(runs[k].thread + 1), half = 8 * near, wide = Math.max(half, words.length * 4.5 * near);
      if (this.outside(left, top, wide)) continue;
      c.fillStyle = "#fff";
      c.strokeStyle = "#111";
      c.lineWidth = 1.5 * ratio;
      c.beginPath();
      c.rect(left - wide, top - half, 2 * wide, 2 * half);
      c.fill();
      c.stroke();
      c.fillStyle = "#111";
      c.fillText(words, left, top + ratio / 2);
    }
  }

  outside(left, top, size) {
    return left < -size || top < -size || left > this.canvas.width + size || top > this.canvas.height + size;
  }

  stroke(path, width, ratio) {
    const c = this.context;
    c.strokeStyle = "#fff";
    c.lineWidth = width + 2.5 * ratio;
    c.stroke(path);
    c.strokeStyle = "#111";
    c.lineWidth = width;
    c.stroke(path);
  }
}

/** The artwork beneath the thread, drawn sharp again whenever the view has come to rest. */
class Beneath {
  constructor(artwork, canvas, ready) {
    this.artwork = artwork;
    this.canvas = canvas;
    this.context = canvas.getContext("2d");
    if (!artwork) return;
    this.image = new Image();
    this.image.onload = () => { this.loaded = true; ready(); };
    this.image.src = "data:image/svg+xml," + encodeURIComponent(artwork.svg);
  }

  resize(width, height) {
    this.canvas.width = width;
    this.canvas.height = height;
    this.view = null;
  }

  /** Draws for `view` where it is at rest, and otherwise moves what is drawn. True when sharp. */
  draw(frame, atRest) {
    if (!this.loaded) return true;
    const { view, ratio } = frame;
    const sharp = this.view?.is(view);
    if (!sharp && (atRest || !this.view)) {
      const { left, top, width, height } = this.artwork;
      const mm = view.scale * 10;
      this.context.clearRect(0, 0, this.canvas.width, this.canvas.height);
      this.context.drawImage(this.image, left * mm + view.x, top * mm + view.y, width * mm, height * mm);
      this.view = view;
    }
    placeLayer(this.canvas, this.view, view, ratio);
    return this.view.is(view);
  }
}
