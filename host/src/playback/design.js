// What is sewn, as the page holds it. One record is one thing the machine does; places are in
// 0.1 mm, y down. "At 7" means that seven records are done.

const STITCH = 0, JUMP = 1, HALT = 2;
const UNDERLAY = 0, TRAVEL = 2;
const SEWN = 0, CARRIED = 1, TRIMMED = 2;

/** Records that are looked at together when much of the design lies outside the picture. */
const BLOCK = 256;

class Design {
  constructor(story) {
    const { moves, start, machine } = story;
    Object.assign(this, {
      title: story.title, threads: story.threads, objects: story.objects, runs: story.runs,
      machine, artwork: story.artwork, count: moves.count,
    });
    this.what = bytes(moves.what);
    const right = new Int8Array(bytes(moves.right).buffer);
    const down = new Int8Array(bytes(moves.down).buffer);
    const count = this.count;
    // What is true when so many records are done.
    this.x = new Int32Array(count + 1);
    this.y = new Int32Array(count + 1);
    this.stitches = new Uint32Array(count + 1);
    this.trims = new Uint32Array(count + 1);
    this.halts = new Uint32Array(count + 1);
    /** The record that begins each trim. */
    this.trimAt = [];
    [this.x[0], this.y[0]] = start;
    for (let i = 0; i < count; i++) {
      const kind = this.kind(i);
      const cut = kind === JUMP && this.passage(i) === TRIMMED && (i === 0 || this.kind(i - 1) !== JUMP);
      this.x[i + 1] = this.x[i] + right[i];
      this.y[i + 1] = this.y[i] + down[i];
      this.stitches[i + 1] = this.stitches[i] + (kind === STITCH);
      this.trims[i + 1] = this.trims[i] + cut;
      this.halts[i + 1] = this.halts[i] + (kind === HALT);
      if (cut) this.trimAt.push(i);
    }
    this.stitchCount = this.stitches[count];
    /** How many records are done right after each stitch. */
    this.after = new Uint32Array(this.stitchCount + 1);
    for (let i = 0; i < count; i++) {
      if (this.kind(i) === STITCH) this.after[this.stitches[i + 1]] = i + 1;
    }
    if (this.stitchCount > 0) this.after[this.stitchCount] = count;
    this.threadOf = this.spread(this.objects, (object) => object.thread);
    this.bounds = this.boundsOf(0, count, true);
    this.blocks = [];
    for (let i = 0; i < count; i += BLOCK) this.blocks.push(this.boundsOf(i, Math.min(i + BLOCK, count), false));
  }

  kind(i) { return this.what[i] & 3; }
  role(i) { return (this.what[i] >> 2) & 3; }
  passage(i) { return this.what[i] >> 4; }

  /** For each record, what `of` says about the part that it belongs to. */
  spread(parts, of) {
    const column = new Uint16Array(this.count);
    parts.forEach((part, k) => column.fill(of(part), part.first, parts[k + 1]?.first ?? this.count));
    return column;
  }

  /** Around the records from `from` to `to`; around needle points only where `sewn`. */
  boundsOf(from, to, sewn) {
    const b = { left: Infinity, top: Infinity, right: -Infinity, bottom: -Infinity };
    const take = (i) => {
      b.left = Math.min(b.left, this.x[i]); b.right = Math.max(b.right, this.x[i]);
      b.top = Math.min(b.top, this.y[i]); b.bottom = Math.max(b.bottom, this.y[i]);
    };
    if (!sewn) take(from);
    for (let i = from; i < to; i++) if (!sewn || this.kind(i) === STITCH) take(i + 1);
    return b;
  }

  /** The place in `parts` of what is being sewn when `at` records are done. */
  partAt(parts, at) {
    let low = 0, high = parts.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (parts[middle].first <= at) low = middle; else high = middle - 1;
    }
    return low;
  }

  /** Seconds of the machine when `at` records are done, at `speed` stitches a minute. */
  seconds(at, speed) {
    const { secondsPerTrim, secondsPerThreadChange } = this.machine;
    return this.stitches[at] * 60 / speed + this.trims[at] * secondsPerTrim
      + this.halts[at] * secondsPerThreadChange;
  }

  /** Whether record `i` begins a trim. */
  cuts(i) { return this.trims[i + 1] > this.trims[i]; }

  /** The thread of a number and a name, for people. */
  threadName(place) {
    const { name, code } = this.threads[place] ?? { name: "", code: "" };
    return [code, name].filter(Boolean).join(" ") || "without a name";
  }
}

function bytes(base64) {
  const text = atob(base64);
  const all = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i++) all[i] = text.charCodeAt(i);
  return all;
}
