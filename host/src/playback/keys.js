// The keyboard. The help panel lists what stands here.

class Keys {
  constructor(controls, frame, changed) {
    const step = (name) => () => controls.go(name);
    const look = (act) => () => { act(); changed(); };
    const pan = (x, y) => look(() => frame.move(x, y));
    /** Names of keys, what they do in words, and what they do. */
    this.list = [
      [["Space"], "play, pause", step("play")],
      [["ArrowRight"], "on one stitch", step("on-stitch")],
      [["ArrowLeft"], "back one stitch", step("back-stitch")],
      [["Home"], "to the start", step("start")],
      [["End"], "to the end", step("end")],
      [["n"], "on to a trim", step("on-trim")],
      [["N"], "back to a trim", step("back-trim")],
      [["o"], "on to the next object", step("on-object")],
      [["O"], "back to the beginning of an object", step("back-object")],
      [["t"], "on to the next thread", step("on-thread")],
      [["T"], "back to the beginning of a thread", step("back-thread")],
      [["u"], "underlay", () => controls.toggle("underlay")],
      [["r"], "travel", () => controls.toggle("travel")],
      [["c"], "trims and thread changes", () => controls.toggle("trims")],
      [["a"], "artwork", () => controls.toggle("artwork")],
      [["+", "="], "nearer", look(() => frame.zoom(1.25))],
      [["-"], "farther", look(() => frame.zoom(0.8))],
      [["0"], "whole design", look(() => frame.fit())],
      [["Shift+ArrowLeft"], "look to the left", pan(60, 0)],
      [["Shift+ArrowRight"], "look to the right", pan(-60, 0)],
      [["Shift+ArrowUp"], "look up", pan(0, 60)],
      [["Shift+ArrowDown"], "look down", pan(0, -60)],
      [["?"], "this help", () => byId("help").showModal()],
    ];
    this.acts = new Map(this.list.flatMap(([names, , act]) => names.map((name) => [name, act])));
    this.write();
    document.addEventListener("keydown", (event) => this.pressed(event));
  }

  write() {
    const body = byId("keys").tBodies[0];
    const words = { ArrowLeft: "←", ArrowRight: "→", ArrowUp: "↑", ArrowDown: "↓" };
    for (const [names, what] of this.list) {
      const row = body.insertRow();
      const head = document.createElement("th");
      head.scope = "row";
      for (const part of names[0].split(/(?<=.)\+/)) {
        const key = document.createElement("kbd");
        const capital = /^[A-Z]$/.test(part);
        key.textContent = (capital ? "Shift " : "") + (words[part] ?? (/^[a-z]$/.test(part) ? part.toUpperCase() : part));
        head.append(key, " ");
      }
      row.append(head);
      row.insertCell().textContent = what;
    }
  }

  pressed(event) {
    if (event.ctrlKey || event.metaKey || event.altKey || byId("help").open) return;
    const { target } = event;
    const name = event.key === " " ? "Space" : event.key;
    // A control that is focused keeps the keys that it has a use for.
    if (target.matches("input:not([type=checkbox]), select") && (name.startsWith("Arrow") || /^(Space|Home|End)$/.test(name))) return;
    if (target.matches("select")) return;
    if (name === "Space" && target.matches("button, input")) return;
    if (name.length === 1 && /[a-z]/i.test(name) && !byId("letters").checked) return;
    const act = this.acts.get(event.shiftKey && name.startsWith("Arrow") ? `Shift+${name}` : name);
    if (!act) return;
    event.preventDefault();
    act();
  }
}
