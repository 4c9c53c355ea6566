// The machine at work: how many records are done, and how fast it goes on.

class Sewing {
  constructor(design) {
    this.design = design;
    this.at = design.count;
    /** Seconds of the machine already spent on the record being done. */
    this.spent = 0;
    this.playing = false;
    this.speed = design.machine.speed;
    this.times = 1;
    this.waits = true;
  }

  /** Plays on, or from the start where all is done. */
  play() {
    if (this.at >= this.design.count) this.goTo(0);
    this.playing = this.design.count > 0;
  }

  pause() { this.playing = false; }

  goTo(at) {
    this.at = Math.max(0, Math.min(this.design.count, at));
    this.spent = 0;
  }

  /** Seconds of the machine for record `i`. */
  takes(i) {
    const { design } = this;
    const { secondsPerTrim, secondsPerThreadChange } = design.machine;
    switch (design.kind(i)) {
      case STITCH: return 60 / this.speed;
      case HALT: return this.waits ? secondsPerThreadChange : 0;
      default: return this.waits && design.cuts(i) ? secondsPerTrim : 0;
    }
  }

  /** Goes on for so many seconds of the watcher. */
  goOn(seconds) {
    if (!this.playing) return;
    let left = this.spent + seconds * this.times;
    const { count } = this.design;
    while (this.at < count) {
      const takes = this.takes(this.at);
      if (takes > left) break;
      left -= takes;
      this.at++;
    }
    this.spent = this.at < count ? left : 0;
    if (this.at >= count) this.playing = false;
  }

  /** Seconds of the machine so far. */
  get seconds() { return this.design.seconds(this.at, this.speed) + this.spent; }

  /** One stitch, or several, on or back. */
  stitch(by) {
    const { stitches, after, stitchCount } = this.design;
    // A thing that is not a stitch, such as a jump, is passed over with the stitch after it.
    const to = Math.max(0, Math.min(stitchCount, stitches[this.at] + by));
    this.goTo(after[to]);
  }

  /** The beginning of the next part, or of this one and then of the one before. */
  part(parts, by) {
    const place = this.design.partAt(parts, this.at);
    const { first } = parts[place] ?? { first: 0 };
    if (by < 0) this.goTo(this.at > first ? first : parts[place - 1]?.first ?? 0);
    else this.goTo(parts[place + 1]?.first ?? this.design.count);
  }

  /** Right before the next trim, or the one before. */
  trim(by) {
    const { trimAt, count } = this.design;
    if (by > 0) this.goTo(trimAt.find((i) => i > this.at) ?? count);
    else this.goTo(trimAt.findLast((i) => i < this.at) ?? 0);
  }

  /** What the machine does next, in words. */
  get next() {
    const { design, at } = this;
    if (at >= design.count) return "All is sewn";
    if (design.kind(at) === HALT) {
      const run = design.runs[design.partAt(design.runs, at)];
      return run.begins === "stop" ? "Stop for the operator" : `Change to thread ${run.thread + 1}`;
    }
    if (design.cuts(at)) return `Trim ${design.trims[at] + 1} of ${design.trimAt.length}`;
    if (design.kind(at) === JUMP) return "Needle up, moving";
    return ["Sewing underlay", "Sewing cover", "Sewing travel", "Sewing a tie"][design.role(at)];
  }
}
