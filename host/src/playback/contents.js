// The list of threads and objects, in sewing order. The one being sewn is marked, and a click goes
// to its first stitch.

class Contents {
  constructor(design, list, go) {
    this.design = design;
    this.list = list;
    this.buttons = [];
    this.stretches = [];
    design.runs.forEach((run, k) => this.stretch(run, design.runs[k + 1]?.first ?? Infinity, go));
  }

  stretch(run, end, go) {
    const { design } = this;
    const item = document.createElement("li");
    const colour = document.createElement("span");
    colour.className = "spool";
    colour.style.backgroundColor = design.threads[run.thread]?.colour ?? "#808080";
    colour.ariaHidden = "true";
    const halt = run.begins === "stop" ? "stop, then " : "";
    const head = button(`${halt}${run.thread + 1}, ${design.threadName(run.thread)}`, "stretch", () => go(run.first));
    head.prepend(colour);
    item.append(head);
    const parts = document.createElement("ol");
    for (const [place, object] of design.objects.entries()) {
      if (object.first < run.first || object.first >= end) continue;
      const part = document.createElement("li");
      const words = object.name || object.id;
      this.buttons[place] = button(`${place + 1}  ${words}`, "part", () => go(object.first));
      const stitches = document.createElement("span");
      const until = design.objects[place + 1]?.first ?? design.count;
      stitches.className = "much";
      stitches.textContent = grouped(design.stitches[until] - design.stitches[object.first]);
      stitches.setAttribute("aria-label", `, ${stitches.textContent} stitches`);
      this.buttons[place].append(stitches);
      part.append(this.buttons[place]);
      parts.append(part);
    }
    if (parts.childElementCount) item.append(parts);
    this.stretches.push(head);
    this.list.append(item);
  }

  /** Marks what is being sewn when `at` records are done, and keeps it in sight. */
  mark(at) {
    const { design } = this;
    const now = [this.stretches[design.partAt(design.runs, at)], this.buttons[design.partAt(design.objects, at)]];
    if (now[0] === this.marked?.[0] && now[1] === this.marked?.[1]) return;
    for (const before of this.marked ?? []) before?.removeAttribute("aria-current");
    for (const button of now) button?.setAttribute("aria-current", "step");
    this.marked = now;
    const shown = now[1] ?? now[0];
    const scroller = this.list;
    if (!shown || scroller.scrollHeight <= scroller.clientHeight) return;
    const box = shown.getBoundingClientRect(), around = scroller.getBoundingClientRect();
    if (box.top < around.top + 48 || box.bottom > around.bottom - 24) {
      scroller.scrollTop += box.top - around.top - around.height / 3;
    }
  }
}

function button(words, name, act) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = name;
  const text = document.createElement("span");
  text.className = "words";
  text.textContent = words;
  made.append(text);
  made.addEventListener("click", act);
  return made;
}
