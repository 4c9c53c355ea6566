// What people touch, and what it tells them.

const byId = (id) => document.getElementById(id);
const grouped = (number) => number.toLocaleString("en");

/** Seconds as minutes and seconds, or hours too. */
function clock(seconds) {
  const whole = Math.floor(seconds + 1e-6), two = (n) => String(n).padStart(2, "0");
  const [hours, minutes] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60];
  return hours > 0 ? `${hours}:${two(minutes)}:${two(whole % 60)}` : `${minutes}:${two(whole % 60)}`;
}

class Controls {
  /** `changed` is called whenever something else is to be seen; `moved` after a step, to tell it. */
  constructor(design, sewing, frame, changed) {
    Object.assign(this, { design, sewing, frame, changed });
    this.shown = { underlay: true, travel: true, trims: true };
    this.steps();
    this.pace();
    this.looks();
    this.help();
    byId("stitch-count").textContent = grouped(design.stitchCount);
    byId("scrub").max = design.stitchCount;
    byId("scrub").addEventListener("input", (event) => {
      this.sewing.goTo(design.after[Number(event.target.value)] ?? 0);
      this.changed();
      this.tell();
    });
  }

  /** All that moves the sewing on or back, by the name of its button. */
  get ways() {
    const { sewing, design } = this;
    return {
      "play": () => (sewing.playing ? sewing.pause() : sewing.play()),
      "back-thread": () => sewing.part(design.runs, -1), "on-thread": () => sewing.part(design.runs, 1),
      "back-object": () => sewing.part(design.objects, -1), "on-object": () => sewing.part(design.objects, 1),
      "back-trim": () => sewing.trim(-1), "on-trim": () => sewing.trim(1),
      "back-stitch": () => sewing.stitch(-1), "on-stitch": () => sewing.stitch(1),
      "start": () => sewing.goTo(0), "end": () => sewing.goTo(design.count),
    };
  }

  /** Does what a button or a key asks for. All but playing stops the machine. */
  go(name) {
    if (name !== "play") this.sewing.pause();
    this.ways[name]();
    this.changed();
    this.tell();
  }

  steps() {
    for (const name of Object.keys(this.ways)) byId(name)?.addEventListener("click", () => this.go(name));
    const { frame } = this;
    const near = { nearer: () => frame.zoom(1.5), farther: () => frame.zoom(1 / 1.5), fit: () => frame.fit() };
    for (const [id, act] of Object.entries(near)) {
      byId(id).addEventListener("click", () => { act(); this.changed(); });
    }
  }

  pace() {
    const { sewing, design } = this;
    const speed = byId("speed");
    const own = design.machine.speed;
    if (own % 10) speed.step = 1;
    speed.min = Math.min(400, own);
    speed.max = Math.max(1000, own);
    speed.value = own;
    const take = () => {
      sewing.speed = Number(speed.value);
      byId("speed-words").textContent = `${sewing.speed} stitches a minute`;
      byId("time-whole").textContent = clock(design.seconds(design.count, sewing.speed));
      this.changed();
    };
    speed.addEventListener("input", take);
    byId("times").addEventListener("change", (event) => { sewing.times = Number(event.target.value); });
    byId("waits").addEventListener("change", (event) => { sewing.waits = event.target.checked; });
    take();
  }

  looks() {
    for (const name of Object.keys(this.shown)) {
      byId(name).addEventListener("change", (event) => {
        this.shown[name] = event.target.checked;
        this.changed();
      });
    }
    const beneath = byId("beneath"), artwork = byId("artwork"), opacity = byId("opacity");
    const fade = () => {
      byId("opacity-words").textContent = `${opacity.value} %`;
      beneath.style.opacity = artwork.checked ? opacity.value / 100 : 0;
    };
    for (const control of [artwork, opacity]) control.addEventListener("input", fade);
    fade();
    if (!this.design.artwork) {
      for (const id of ["artwork-tick", "opacity-label", "opacity"]) byId(id).hidden = true;
    }
    const fabric = byId("fabric");
    const lay = () => { byId("layers").style.backgroundColor = fabric.value; };
    fabric.addEventListener("input", lay);
    lay();
  }

  help() {
    const dialog = byId("help");
    byId("help-open").addEventListener("click", () => dialog.showModal());
    byId("help-close").addEventListener("click", () => dialog.close());
  }

  /** Ticks or unticks what a key stands for. */
  toggle(id) {
    const tick = byId(id);
    if (tick.closest("[hidden]")) return;
    tick.click();
    byId("spoken").textContent = `${tick.parentElement.textContent.trim()} ${tick.checked ? "shown" : "hidden"}`;
  }

  /** Roles left out of the picture, as a mask. */
  get without() {
    return (this.shown.underlay ? 0 : 1 << UNDERLAY) | (this.shown.travel ? 0 : 1 << TRAVEL);
  }

  /** Tells where the sewing is. */
  update() {
    const { design, sewing } = this;
    const { at } = sewing;
    const object = design.partAt(design.objects, at);
    const { name, id, thread } = design.objects[object] ?? { name: "", id: "", thread: 0 };
    const run = design.runs[design.partAt(design.runs, at)];
    const spool = run && at === run.first ? run.thread : thread;
    const stitch = design.stitches[at];
    this.put("stitch", grouped(stitch));
    this.put("time", clock(sewing.seconds));
    this.put("next", sewing.next);
    this.put("object", `${object + 1} of ${design.objects.length}: ${name || id}`);
    this.put("thread-name", `${spool + 1}, ${design.threadName(spool)}`);
    this.put("play", sewing.playing ? "Pause" : "Play");
    const colour = design.threads[spool]?.colour ?? "#808080";
    const patch = byId("spool");
    if (patch.colour !== colour) { patch.colour = colour; patch.style.backgroundColor = colour; }
    const scrub = byId("scrub");
    if (Number(scrub.value) !== stitch) scrub.value = stitch;
    if (!sewing.playing) {
      scrub.setAttribute("aria-valuetext", `stitch ${stitch} of ${design.stitchCount}, object ${name || id}, thread ${spool + 1}`);
    }
  }

  put(id, words) {
    const element = byId(id);
    if (element.told !== words) { element.told = words; element.textContent = words; }
  }

  /** Says aloud where the sewing is, after a step. */
  tell() {
    this.update();
    const said = ["stitch", "object", "next"].map((id) => byId(id).textContent);
    byId("spoken").textContent = this.sewing.playing ? "Playing" : `Stitch ${said[0]}, object ${said[1]}. ${said[2]}`;
  }
}

/** The whole way as a strip: a block for each stretch of thread, with its number, and a tick for
 * each trim. */
class Strip {
  constructor(design, canvas) {
    this.design = design;
    this.canvas = canvas;
  }

  draw() {
    const { design, canvas } = this;
    const box = canvas.getBoundingClientRect();
    const ratio = Math.min(window.devicePixelRatio || 1, 2);
    const width = Math.max(1, Math.round(box.width * ratio)), height = Math.max(1, Math.round(box.height * ratio));
    canvas.width = width;
    canvas.height = height;
    const c = canvas.getContext("2d");
    const place = (at) => (design.stitches[at] / Math.max(1, design.stitchCount)) * width;
    const block = height * 0.72;
    c.font = `bold ${10 * ratio}px system-ui, sans-serif`;
    c.textBaseline = "middle";
    design.runs.forEach((run, k) => {
      const from = place(run.first), to = place(design.runs[k + 1]?.first ?? design.count);
      c.fillStyle = design.threads[run.thread]?.colour ?? "#808080";
      c.fillRect(from, 0, Math.max(1, to - from - ratio), block);
      const words = String(run.thread + 1);
      if (to - from > c.measureText(words).width + 6 * ratio) {
        c.lineWidth = 3 * ratio;
        c.strokeStyle = "#fff";
        c.strokeText(words, from + 3 * ratio, block / 2);
        c.fillStyle = "#111";
        c.fillText(words, from + 3 * ratio, block / 2);
      }
    });
    c.fillStyle = getComputedStyle(canvas).color;
    for (const i of design.trimAt) c.fillRect(place(i) - ratio / 2, block + ratio, ratio, height - block);
  }
}
