// Thread, pixel by pixel. Drawing each stitch into memory costs about a microsecond, far less than
// a path of the browser's own, and gives the thread its roundness for nothing.

/** How thick the thread lies, in 0.1 mm: a 40 weight thread covers about 0.4 mm (common practice). */
const THREAD = 4;
/** Shades from one side of the thread to the other, directions that the light falls on, and how
 * deep an end can be sunk. */
const ACROSS = 32, DIRECTIONS = 16, DEPTHS = 4;

/** A thread's shades: one for each direction and side, and darker ones for its ends. */
class Shades {
  constructor(colour) {
    const value = parseInt(colour.slice(1), 16);
    const rgb = [value >> 16, (value >> 8) & 255, value & 255];
    this.table = new Uint32Array((DEPTHS + 1) * DIRECTIONS * ACROSS);
    for (let direction = 0; direction < DIRECTIONS; direction++) {
      // The light comes from the upper left; thread shines most where it lies across the light.
      const angle = (direction / DIRECTIONS) * Math.PI;
      const shine = Math.abs(Math.cos(angle - Math.PI / 4));
      for (let side = 0; side < ACROSS; side++) {
        const v = ((side + 0.5) / ACROSS) * 2 - 1;
        const round = Math.sqrt(1 - v * v * 0.96);
        const light = 0.5 + 0.5 * round - 0.06 * v;
        const gloss = Math.max(0, round - 0.8) * (30 + 150 * shine);
        const at = direction * ACROSS + side;
        for (let depth = 0; depth <= DEPTHS; depth++) {
          const up = 1 - depth / DEPTHS;
          this.table[at + depth * DIRECTIONS * ACROSS] = packed(rgb, light * (0.72 + 0.28 * up), gloss * up);
        }
      }
    }
  }
}

function packed(rgb, light, gloss) {
  const [r, g, b] = rgb.map((c) => Math.max(0, Math.min(255, Math.round(c * light + gloss))));
  return (b << 16) | (g << 8) | r;
}

/** A picture in memory, and the part of it that has changed since it was shown. */
class Bitmap {
  constructor(width, height) {
    this.width = width;
    this.height = height;
    this.pixels = new Uint32Array(width * height);
    this.image = new ImageData(new Uint8ClampedArray(this.pixels.buffer), width, height);
    this.settle();
  }

  settle() { this.left = this.width; this.top = this.height; this.right = 0; this.bottom = 0; }

  touchAll() { this.left = 0; this.top = 0; this.right = this.width; this.bottom = this.height; }

  /** Shows what has changed. */
  show(context) {
    const width = this.right - this.left, height = this.bottom - this.top;
    if (width > 0 && height > 0) context.putImageData(this.image, 0, 0, this.left, this.top, width, height);
    this.settle();
  }

  /** Lays thread from one place to another, in pixels; `half` is half its thickness. */
  lay(x0, y0, x1, y1, half, shades) {
    let thin = 1;
    if (half < 0.5) { thin = half * 2; half = 0.5; }
    const reach = half + 0.5;
    const top = Math.max(0, Math.floor(Math.min(y0, y1) - reach));
    const bottom = Math.min(this.height, Math.ceil(Math.max(y0, y1) + reach));
    const left = Math.max(0, Math.floor(Math.min(x0, x1) - reach));
    const right = Math.min(this.width, Math.ceil(Math.max(x0, x1) + reach));
    if (top >= bottom || left >= right) return;
    const dx = x1 - x0, dy = y1 - y0;
    const length = Math.sqrt(dx * dx + dy * dy);
    const ux = length > 1e-6 ? dx / length : 1, uy = length > 1e-6 ? dy / length : 0;
    // A little longer than the way, so that stitches meet.
    const more = half * 0.4, first = -more - 0.5, last = length + more + 0.5;
    const sunk = Math.min(half * 1.2, length * 0.4), deep = DEPTHS / Math.max(sunk, 1e-6);
    const angle = Math.atan2(uy, ux);
    const direction = Math.round((angle / Math.PI) * DIRECTIONS + 2 * DIRECTIONS) % DIRECTIONS;
    // The side towards the light is always the same: the thread does not care which way it is sewn.
    const flip = uy < 0 || (uy === 0 && ux < 0) ? -1 : 1;
    const table = shades.table, base = direction * ACROSS, layer = DIRECTIONS * ACROSS;
    const scale = (ACROSS / 2 / half) * flip;
    const pixels = this.pixels;
    for (let row = top; row < bottom; row++) {
      const ry = row + 0.5 - y0;
      // Across the thread v = ux * ry - uy * rx, along it t = ux * rx + uy * ry: both within bounds.
      let from = left + 0.5 - x0, to = right - 0.5 - x0;
      if (uy > 1e-9 || uy < -1e-9) {
        const a = (ux * ry - reach) / uy, b = (ux * ry + reach) / uy;
        from = Math.max(from, Math.min(a, b)); to = Math.min(to, Math.max(a, b));
      } else if (ry > reach || ry < -reach) continue;
      if (ux > 1e-9 || ux < -1e-9) {
        const a = (first - uy * ry) / ux, b = (last - uy * ry) / ux;
        from = Math.max(from, Math.min(a, b)); to = Math.min(to, Math.max(a, b));
      }
      const start = Math.max(left, Math.ceil(from + x0 - 0.5));
      const stopAt = Math.min(right - 1, Math.floor(to + x0 - 0.5));
      let rx = start + 0.5 - x0;
      let v = ux * ry - uy * rx, t = ux * rx + uy * ry;
      for (let i = row * this.width + start, stop = row * this.width + stopAt; i <= stop; i++, v -= uy, t += ux) {
        let cover = reach - (v < 0 ? -v : v);
        const near = t - first, far = last - t;
        if (near < cover) cover = near;
        if (far < cover) cover = far;
        if (cover <= 0) continue;
        cover = cover >= 1 ? thin : cover * thin;
        let side = (v * scale + ACROSS / 2) | 0;
        side = side < 0 ? 0 : side >= ACROSS ? ACROSS - 1 : side;
        const end = t < length - t ? t : length - t;
        let shade = base + side;
        if (end < sunk) shade += layer * (end <= 0 ? DEPTHS : DEPTHS - ((end * deep) | 0));
        const colour = table[shade];
        if (cover > 0.996) { pixels[i] = (colour | 0xff000000) >>> 0; continue; }
        pixels[i] = over(pixels[i], colour, cover);
      }
    }
    if (left < this.left) this.left = left;
    if (top < this.top) this.top = top;
    if (right > this.right) this.right = right;
    if (bottom > this.bottom) this.bottom = bottom;
  }
}

/** `colour`, as far as it covers, over what is there. */
function over(there, colour, cover) {
  const alpha = there >>> 24;
  let part = (cover * 256) | 0, sum = 255;
  if (alpha < 255) {
    const whole = cover + (alpha / 255) * (1 - cover);
    if (whole <= 0) return there;
    part = ((cover / whole) * 256) | 0;
    sum = (whole * 255 + 0.5) | 0;
  }
  const rest = 256 - part;
  const redBlue = (((colour & 0xff00ff) * part + (there & 0xff00ff) * rest) / 256) & 0xff00ff;
  const green = (((colour & 0xff00) * part + (there & 0xff00) * rest) / 256) & 0xff00;
  return ((sum << 24) | redBlue | green) >>> 0;
}
