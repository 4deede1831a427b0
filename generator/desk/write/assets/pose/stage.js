/* The drawing of a panel with its handles: hands, elbows, knees and feet are dragged, or pressed to say what they touch. */
"use strict";
import { button, make, say } from "../ask.js";
import { partName } from "./choosers.js";
import { pickContact } from "./pick.js";

const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
/** Of the picture, how far an arrow key moves a handle. */
const STEP = 0.05;
/** Pixels a handle must be moved before it is dragged and not pressed. */
const DRAGGED = 4;

export class Stage {
  constructor(posing) {
    this.posing = posing;
    this.picture = make("div", { className: "picture-here" });
    this.handles = make("div", { className: "handles" });
    this.box = make("div", { className: "stage" }, this.picture, this.handles);
    this.held = null;
  }

  /** Show a panel; handles stay the elements they are. */
  show(panel) {
    this.picture.classList.toggle("is-grey", this.posing.grey);
    this.picture.innerHTML = panel.svg;
    const svg = this.picture.querySelector("svg"), shape = svg.viewBox.baseVal;
    // A wide picture gets lower, not a margin: handles lie on the box of the drawing.
    svg.style.width = `calc(var(--picture-high) * ${shape.width / shape.height})`;
    this.handles.hidden = this.posing.side !== "right";
    if (!this.handles.childElementCount) this.handles.append(...panel.handles.map((one) => this.handle(one)));
    for (const one of panel.handles) {
      const handle = this.handles.querySelector(`[data-part="${one.part}"]`);
      if (handle === this.held?.handle) continue;
      handle.style.left = `${one.x * 100}%`;
      handle.style.top = `${one.y * 100}%`;
      handle.at = one;
    }
  }

  where(event) {
    const box = this.handles.getBoundingClientRect();
    return { x: (event.clientX - box.left) / box.width, y: (event.clientY - box.top) / box.height };
  }

  handle(one) {
    const name = partName(one.part);
    const handle = button("", () => {
      if (!this.dragged) pickContact(this.posing, one.part);
      this.dragged = false;
    }, {
      className: `handle ${one.part.startsWith("affected") ? "is-affected" : ""}`,
      "aria-label": say("handle", { part: name }),
      onpointerdown: (event) => {
        handle.setPointerCapture(event.pointerId);
        this.held = { handle, x: event.clientX, y: event.clientY };
        this.dragged = false;
      },
      onpointermove: (event) => this.drag(event, one.part),
      onpointerup: (event) => this.drop(event, one.part),
      onpointercancel: (event) => {
        this.drop(event, one.part);
        this.dragged = false; // no press follows
      },
      onkeydown: (event) => this.step(event, one.part),
    });
    handle.dataset.part = one.part;
    handle.dataset.name = name;
    return handle;
  }

  drag(event, part) {
    const held = this.held;
    if (!held) return;
    if (!this.dragged && Math.hypot(event.clientX - held.x, event.clientY - held.y) < DRAGGED) return;
    this.dragged = true;
    const at = this.where(event);
    held.handle.style.left = `${at.x * 100}%`;
    held.handle.style.top = `${at.y * 100}%`;
    this.posing.ask("drag", { part, ...at, live: true });
  }

  drop(event, part) {
    if (!this.held) return;
    this.held = null;
    if (this.dragged) this.posing.ask("drag", { part, ...this.where(event), drop: true });
  }

  step(event, part) {
    const step = STEPS[event.key], at = event.currentTarget.at;
    if (!step) return;
    event.preventDefault();
    this.posing.ask("drag", { part, x: at.x + step[0] * STEP, y: at.y + step[1] * STEP, drop: true });
  }
}
