// Moving the cloth with mouse, pen or fingers.

class Gestures {
  constructor(element, frame, changed) {
    this.element = element;
    this.frame = frame;
    this.changed = changed;
    this.pointers = new Map();
    element.addEventListener("pointerdown", (event) => this.down(event));
    element.addEventListener("pointermove", (event) => this.move(event));
    for (const end of ["pointerup", "pointercancel", "lostpointercapture"]) {
      element.addEventListener(end, (event) => this.pointers.delete(event.pointerId));
    }
    element.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    element.addEventListener("dblclick", (event) => {
      const { x, y } = this.place(event);
      if (event.target === element) { frame.zoom(2, x, y); changed(); }
    });
  }

  place(event) {
    const box = this.element.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  }

  down(event) {
    if (event.target.closest("button") || (event.pointerType === "mouse" && event.button > 1)) return;
    this.element.setPointerCapture(event.pointerId);
    this.pointers.set(event.pointerId, this.place(event));
  }

  move(event) {
    const before = this.pointers.get(event.pointerId);
    if (!before) return;
    const now = this.place(event);
    const other = [...this.pointers].find(([id]) => id !== event.pointerId)?.[1];
    this.pointers.set(event.pointerId, now);
    if (other) {
      // Two fingers: what lies under their middle stays there.
      const apart = (a) => Math.max(8, Math.hypot(a.x - other.x, a.y - other.y));
      this.frame.move((now.x - before.x) / 2, (now.y - before.y) / 2);
      this.frame.zoom(apart(now) / apart(before), (now.x + other.x) / 2, (now.y + other.y) / 2);
    } else {
      this.frame.move(now.x - before.x, now.y - before.y);
    }
    this.changed();
  }

  wheel(event) {
    event.preventDefault();
    const lines = event.deltaMode === 1 ? 16 : event.deltaMode === 2 ? 400 : 1;
    const { x, y } = this.place(event);
    this.frame.zoom(Math.exp(-event.deltaY * lines * (event.ctrlKey ? 0.01 : 0.0015)), x, y);
    this.changed();
  }
}
