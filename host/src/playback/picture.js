// The sewn thread on the screen. Going on, stitches are added to what is there. Going back, the
// picture is taken up again from the nearest one kept. For another view it is drawn anew beside
// the one that is shown, a slice in each frame, while that one is moved and stretched.

/** Bytes for pictures kept to go back to. */
const KEPT_BYTES = 96e6;
/** Stitches between two looks at the clock. */
const SLICE = 64;

/** One state of the picture: how many records are drawn, for which view, leaving out what. */
class Layer {
  constructor(width, height) { this.bitmap = new Bitmap(width, height); this.at = 0; this.key = null; }
}

/** What a picture is drawn for, and its states kept on the way. */
class Key {
  constructor(view, without) { this.view = view; this.without = without; this.kept = []; }
  is(view, without) { return this.view.is(view) && this.without === without; }
}

class Picture {
  constructor(design, canvas) {
    this.design = design;
    this.canvas = canvas;
    this.context = canvas.getContext("2d");
    this.shades = design.threads.map((thread) => new Shades(thread.colour));
    this.plain = new Shades("#808080");
  }

  resize(width, height) {
    this.canvas.width = width;
    this.canvas.height = height;
    [this.front, this.back, this.ahead] = [0, 1, 2].map(() => new Layer(width, height));
    this.job = null;
    /** Memory of kept pictures that are of no use any more. */
    this.pool = [];
    const places = Math.max(6, Math.min(64, Math.floor(KEPT_BYTES / (width * height * 4))));
    this.spacing = Math.max(1000, Math.ceil(this.design.count / places));
  }

  /** Asks for a picture: a view, how many records are done, and a mask of roles left out. */
  want(view, at, without) { this.wanted = { view, at, without }; }

  /** Works until the clock says `deadline`. False when nothing is left to do. */
  work(deadline) {
    const { view, at, without } = this.wanted;
    while (performance.now() < deadline) {
      if (this.job) {
        const fits = this.job.key.is(view, without);
        if (fits) this.job.to = Math.max(this.job.layer.at, at);
        if (!this.draw(this.job.layer, this.job.to, deadline)) return true;
        const before = this.front.key;
        [this.front, this.back] = [this.job.layer, this.front];
        if (before && before !== this.front.key) {
          this.pool.push(...before.kept.filter(Boolean).map((kept) => kept.pixels));
          before.kept = [];
        }
        this.job = null;
        this.front.bitmap.touchAll();
        continue;
      }
      if (!this.front.key?.is(view, without)) {
        this.begin(new Key(view, without), at);
      } else if (at < this.front.at) {
        this.begin(this.front.key, at);
      } else if (at > this.front.at) {
        const kept = this.nearestKept(this.front.key, at);
        if (kept && kept.at > this.front.at) this.takeUp(this.front, kept);
        this.draw(this.front, at, deadline);
        this.front.bitmap.show(this.context);
      } else {
        this.front.bitmap.show(this.context);
        return this.lookAhead(deadline);
      }
    }
    return true;
  }

  /** Adds what is sewn to the picture that is shown, while another is being drawn. */
  follow(deadline) {
    if (!this.front.key || !this.job || this.job.key === this.front.key) return;
    if (this.wanted.at > this.front.at) {
      this.draw(this.front, this.wanted.at, deadline);
      this.front.bitmap.show(this.context);
    }
  }

  /** Begins a picture beside the one that is shown. */
  begin(key, to) {
    const layer = this.back;
    layer.key = key;
    const kept = this.nearestKept(key, to);
    if (kept) this.takeUp(layer, kept); else { layer.bitmap.pixels.fill(0); layer.at = 0; }
    this.job = { layer, key, to };
  }

  takeUp(layer, kept) {
    layer.bitmap.pixels.set(kept.pixels);
    layer.bitmap.touchAll();
    layer.at = kept.at;
  }

  nearestKept(key, at) {
    let found = null;
    for (let place = Math.floor(at / this.spacing); place > 0 && !found; place--) found = key.kept[place] ?? null;
    return found;
  }

  /** Draws, where there is time, all states to go to that are not kept yet. */
  lookAhead(deadline) {
    const key = this.front.key;
    const last = Math.floor(this.design.count / this.spacing);
    let place = 1;
    while (place <= last && key.kept[place]) place++;
    if (place > last) return false;
    const ahead = this.ahead;
    if (ahead.key !== key || Math.floor(ahead.at / this.spacing) !== place - 1) {
      ahead.key = key;
      const kept = key.kept[place - 1];
      if (kept) this.takeUp(ahead, kept); else { ahead.bitmap.pixels.fill(0); ahead.at = 0; }
    }
    this.draw(ahead, place * this.spacing, deadline);
    return true;
  }

  /** Draws the records up to `to` on a layer. True when all are drawn. */
  draw(layer, to, deadline) {
    const { key, bitmap } = layer;
    while (layer.at < to) {
      const place = Math.floor(layer.at / this.spacing) + 1;
      this.lay(layer, Math.min(to, place * this.spacing, layer.at + SLICE));
      // A picture drawn while the view is still moving is not worth keeping.
      if (layer.at === place * this.spacing && !key.kept[place] && layer !== this.job?.layer) {
        const pixels = this.pool.pop() ?? new Uint32Array(bitmap.pixels.length);
        pixels.set(bitmap.pixels);
        key.kept[place] = { at: layer.at, pixels };
      }
      if (performance.now() >= deadline) break;
    }
    return layer.at >= to;
  }

  lay(layer, to) {
    const { design } = this;
    const { x, y, threadOf, blocks } = design;
    const { bitmap, key: { view: { scale, x: shiftX, y: shiftY }, without } } = layer;
    const half = (THREAD / 2) * scale;
    let i = layer.at;
    while (i < to) {
      const block = blocks[Math.floor(i / BLOCK)];
      const end = Math.min(to, (Math.floor(i / BLOCK) + 1) * BLOCK);
      if (block.right * scale + shiftX < -half || block.left * scale + shiftX > bitmap.width + half
        || block.bottom * scale + shiftY < -half || block.top * scale + shiftY > bitmap.height + half) {
        i = end;
        continue;
      }
      for (; i < end; i++) {
        if (!this.laysThread(i, without)) continue;
        bitmap.lay(x[i] * scale + shiftX, y[i] * scale + shiftY, x[i + 1] * scale + shiftX,
          y[i + 1] * scale + shiftY, half, this.shades[threadOf[i]] ?? this.plain);
      }
    }
    layer.at = to;
  }

  /** Whether record `i` leaves thread on the cloth that is to be seen. */
  laysThread(i, without) {
    const passage = this.design.passage(i);
    if (this.design.kind(i) === HALT || passage > CARRIED) return false;
    const role = passage === CARRIED ? TRAVEL : this.design.role(i);
    return (without & (1 << role)) === 0;
  }

  /** Puts the picture where the view has it now, until it is drawn anew. */
  place(view, ratio) {
    const shown = this.front.key?.view ?? view;
    placeLayer(this.canvas, shown, view, ratio);
  }
}

/** Moves and stretches what was drawn for the view `shown` to where `view` has it. */
function placeLayer(canvas, shown, view, ratio) {
  const times = view.scale / shown.scale;
  const x = (view.x - shown.x * times) / ratio, y = (view.y - shown.y * times) / ratio;
  const transform = times === 1 && x === 0 && y === 0 ? "none" : `matrix(${times},0,0,${times},${x},${y})`;
  if (canvas.placed !== transform) { canvas.placed = transform; canvas.style.transform = transform; }
}
