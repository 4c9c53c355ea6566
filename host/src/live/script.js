// Shows the board: asks for the state after the one it knows, and is answered when there is another.
"use strict";

const byId = (id) => document.getElementById(id);
const frame = byId("picture");

// ---- The picture. One unit of it is 0.01 mm; the part seen is kept when a new one comes.

let picture = null; // the SVG element
let whole = null; // its own extent: x, y, width, height
let seen = null; // the part seen, or null for the whole

const NEAREST = 200; // 2 mm across the frame's smaller side
const STEP = 1.4;

function shown() {
  // The frame's own proportions, so that moving and coming nearer need no more than this.
  const { clientWidth: wide, clientHeight: high } = frame;
  if (seen || !whole || !wide || !high) return seen ?? whole;
  const unit = Math.max(whole.width / wide, whole.height / high);
  const [width, height] = [wide * unit, high * unit];
  return {
    x: whole.x + (whole.width - width) / 2,
    y: whole.y + (whole.height - height) / 2,
    width,
    height,
  };
}

let drawing = false;
function draw() {
  if (drawing) return;
  drawing = true;
  requestAnimationFrame(() => {
    drawing = false;
    const part = shown();
    if (!picture || !part) return;
    picture.setAttribute("viewBox", `${part.x} ${part.y} ${part.width} ${part.height}`);
    byId("scale").textContent = `${(part.width / 100).toFixed(1)} mm across`;
  });
}

async function fetchPicture(number) {
  const answer = await fetch(`/page/picture.svg?number=${number}`);
  if (!answer.ok) throw new Error(answer.statusText);
  const text = await answer.text();
  const fresh = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  if (fresh.localName !== "svg") throw new Error("the picture cannot be read");
  const { x, y, width, height } = fresh.viewBox.baseVal;
  whole = { x, y, width, height };
  fresh.setAttribute("role", "img");
  fresh.removeAttribute("width");
  fresh.removeAttribute("height");
  const old = picture;
  picture = document.importNode(fresh, true);
  if (old) old.replaceWith(picture);
  else frame.replaceChildren(picture);
  draw();
}

function at(event) {
  const part = shown();
  const box = frame.getBoundingClientRect();
  return {
    x: part.x + ((event.clientX - box.left) / box.width) * part.width,
    y: part.y + ((event.clientY - box.top) / box.height) * part.height,
  };
}

/** Comes `factor` times nearer, while the point `to` of the picture stays where it is. */
function nearer(factor, to) {
  const part = shown();
  if (!part) return;
  const middle = to ?? { x: part.x + part.width / 2, y: part.y + part.height / 2 };
  const least = Math.min(part.width, part.height);
  const most = 4 * Math.max(whole.width, whole.height);
  const by = Math.min(Math.max(1 / factor, NEAREST / least), most / least);
  seen = {
    x: middle.x + (part.x - middle.x) * by,
    y: middle.y + (part.y - middle.y) * by,
    width: part.width * by,
    height: part.height * by,
  };
  draw();
}

/** Moves by shares of the frame. */
function move(right, down) {
  const part = shown();
  if (!part) return;
  seen = { ...part, x: part.x + right * part.width, y: part.y + down * part.height };
  draw();
}

function all() {
  seen = null;
  draw();
}

frame.addEventListener("wheel", (event) => {
  if (!picture) return;
  event.preventDefault();
  const lines = event.deltaMode === WheelEvent.DOM_DELTA_PIXEL ? event.deltaY / 100 : event.deltaY / 3;
  nearer(STEP ** Math.max(-3, Math.min(3, -lines)), at(event));
}, { passive: false });

const fingers = new Map();
frame.addEventListener("pointerdown", (event) => {
  if (!picture) return;
  frame.setPointerCapture(event.pointerId);
  fingers.set(event.pointerId, event);
});
frame.addEventListener("pointermove", (event) => {
  const before = fingers.get(event.pointerId);
  if (!before) return;
  const other = [...fingers].find(([id]) => id !== event.pointerId)?.[1];
  if (other) {
    const apart = (one) => Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY);
    const between = {
      clientX: (event.clientX + other.clientX) / 2,
      clientY: (event.clientY + other.clientY) / 2,
    };
    nearer(apart(event) / Math.max(apart(before), 1), at(between));
  }
  const share = other ? 0.5 : 1;
  move(
    (share * (before.clientX - event.clientX)) / frame.clientWidth,
    (share * (before.clientY - event.clientY)) / frame.clientHeight,
  );
  fingers.set(event.pointerId, event);
});
for (const end of ["pointerup", "pointercancel", "lostpointercapture"]) {
  frame.addEventListener(end, (event) => fingers.delete(event.pointerId));
}

const KEYS = {
  "+": () => nearer(STEP),
  "=": () => nearer(STEP),
  "-": () => nearer(1 / STEP),
  0: all,
  ArrowLeft: () => move(-0.1, 0),
  ArrowRight: () => move(0.1, 0),
  ArrowUp: () => move(0, -0.1),
  ArrowDown: () => move(0, 0.1),
};
frame.addEventListener("keydown", (event) => {
  const does = KEYS[event.key];
  if (!does || event.ctrlKey || event.altKey || event.metaKey) return;
  event.preventDefault();
  does();
});
byId("nearer").addEventListener("click", () => nearer(STEP));
byId("farther").addEventListener("click", () => nearer(1 / STEP));
byId("whole").addEventListener("click", all);
new ResizeObserver(() => {
  // What was in the middle stays there, and as near as it was.
  if (seen && frame.clientWidth && frame.clientHeight) {
    const height = (seen.width * frame.clientHeight) / frame.clientWidth;
    seen = { ...seen, y: seen.y + (seen.height - height) / 2, height };
  }
  draw();
}).observe(frame);

// ---- The words.

function line(tag, text, kind) {
  const element = document.createElement(tag);
  if (kind) element.className = kind;
  element.textContent = text;
  return element;
}

const lastPart = (path) => path.split(/[/\\]/).pop();

function item(finding) {
  const li = document.createElement("li");
  li.append(line("span", finding.message));
  const where = [];
  if (finding.file) where.push(lastPart(finding.file));
  if (finding.line) where.push(`line ${finding.line}`);
  if (finding.step) where.push(`step ${finding.step}`);
  if (finding.object) where.push(`object "${finding.object}"`);
  if (finding.place) where.push(`at ${finding.place.map((mm) => mm.toFixed(1)).join(", ")} mm`);
  if (where.length) li.append(line("span", where.join(", "), "where"));
  if (finding.help) li.append(line("span", finding.help, "what-to-do"));
  return li;
}

function list(id, findings) {
  byId(id).replaceChildren(...findings.map(item));
}

function showWords(state) {
  const artwork = lastPart(state.artwork);
  document.title = `${artwork}: ${state.phase.replaceAll("-", " ")}`;
  byId("artwork").textContent = artwork;
  byId("artwork").title = state.artwork;
  byId("pipeline").textContent = `by ${lastPart(state.pipeline)}`;
  byId("pipeline").title = state.pipeline;
  byId("state").textContent = state.words;
  byId("state").dataset.phase = state.phase;
  frame.classList.toggle("stale", state.phase === "failed");
  byId("wrong").hidden = state.errors.length === 0;
  list("errors", state.errors.filter((error) => error.severity === "error"));
  if (state.summary) byId("summary").textContent = state.summary;
  const late = state["products-of"] !== state.picture;
  byId("products").classList.toggle("late", late);
  const links = state.products.map((name) => {
    const link = line("a", name);
    link.href = `/${name}`;
    link.target = "_blank";
    link.rel = "noopener";
    return link;
  });
  byId("products").replaceChildren(...links);
  const warnings = state.findings.filter((finding) => finding.severity !== "note");
  const notes = state.findings.filter((finding) => finding.severity === "note");
  byId("noticed").textContent = warnings.length === 1 ? "Noticed: 1 warning" : `Noticed: ${warnings.length} warnings`;
  list("warnings", warnings);
  byId("more").hidden = notes.length === 0;
  byId("more").querySelector("summary").textContent = notes.length === 1 ? "1 note" : `${notes.length} notes`;
  list("notes", notes);
}

// ---- The news.

const pause = (milliseconds) => new Promise((done) => setTimeout(done, milliseconds));

async function listen() {
  let moment = "";
  let number = null;
  for (;;) {
    try {
      const answer = await fetch(`/page/state?after=${moment}`);
      if (!answer.ok) throw new Error(answer.statusText);
      const state = await answer.json();
      const same = moment.split("-")[0] === state.moment.split("-")[0];
      if (state.picture !== null && !(same && state.picture === number)) {
        await fetchPicture(state.picture);
      }
      number = state.picture;
      moment = state.moment;
      showWords(state);
    } catch {
      moment = "";
      byId("state").textContent = "The program has ended, or does not answer. Asking again";
      byId("state").dataset.phase = "gone";
      frame.classList.add("stale");
      await pause(1000);
    }
  }
}

listen();
