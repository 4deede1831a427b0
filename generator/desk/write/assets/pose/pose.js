/* Posing a figure: what is asked of the desk, panel by panel, and what of its answer goes where. */
"use strict";
import { askNow, button, make, say } from "../ask.js";
import { known, language, set } from "./choosers.js";
import { note } from "../notes.js";
import { contacts } from "./contacts.js";
import { sliders } from "./joints.js";
import { Stage } from "./stage.js";
import { things } from "./things.js";
import { tools } from "./tools.js";
import { unpressed } from "../press.js";
import { redraw } from "../redraw.js";

/** The field in which a figure is posed. It stays while the form around it is drawn again. */
export function figureField(entry, form) {
  let pose = null;
  return (now, _field, loc) => {
    const id = now.id();
    if (pose) pose.ask();
    else pose = new Posing(entry, () => form().changed(loc), form);
    queueMicrotask(() => {
      const one = now.fields.get("figure");
      if (one) Object.assign(one, { redraw: () => pose.ask(), show: (number) => pose.turnTo(number) });
    });
    return { id, input: pose.box, parts: [pose.box] };
  };
}

/** Tell whether the answer to a question changes the figure for good. */
const changes = ({ name, more }) => name === "fix" || Boolean(more.drop);

export class Posing {
  entry;
  changed;
  form;
  side;
  grey;
  busy;
  waiting;
  asked;
  answered;
  shown;

  constructor(entry, changed, form) {
    Object.assign(this, { entry, changed, form, panel: 0, side: "right", grey: false, busy: false, asked: 0 });
    this.waiting = [];
    this.more = false;
    this.open = null;
    this.tabs = make("div", { className: "panel-tabs", role: "group", "aria-label": say("panels") });
    this.stage = new Stage(this);
    this.status = make("p", { className: "hint", role: "status" });
    this.working = make("p", { className: "working", hidden: true }, say("drawing"));
    this.findings = make("div", { className: "notes-here", role: "region", "aria-label": say("figure_findings") });
    this.tools = make("div", { className: "pose-tools" });
    this.sliders = make("div", { className: "sliders" });
    this.touches = make("div", { className: "touches" });
    this.small = make("div", { className: "small-pictures", "aria-hidden": "true" });
    const view = make("div", { className: "pose-view" }, this.tabs, this.stage.box, this.working, this.status);
    this.box = make(
      "div",
      { className: "posing" },
      make("div", { className: "pose-left" }, view),
      make("div", { className: "pose-right" }, this.findings, this.tools, this.sliders, this.touches, this.small),
    );
    this.ask();
  }

  turnTo(number) {
    if (number === undefined || number >= this.spec.poses.length) return;
    this.panel = number;
    this.drawTabs();
    if (this.answer) this.draw();
  }

  get spec() {
    return this.entry.value.figure ||
      (this.entry.value.figure = { poses: [{ posture: this.entry.value.position || "standing" }] });
  }
  get pose() {
    return this.spec.poses[this.panel] || this.spec.poses[0];
  }

  /**
   * Ask for the figure as it is; only one question is on its way at a time. Of those that only show it the newest waits;
   * one that changes it is never left out. While something is dragged (`live`) only the panel comes, in the picture of
   * what was shown whole before.
   */
  ask(name = "figure", more = {}) {
    clearTimeout(this.settling);
    this.asked += 1;
    const question = { name, more: { panel: this.panel, ...more }, number: this.asked };
    this.waiting = [...this.waiting.filter(changes), question];
    this.behind();
    if (!this.busy) this.askAll();
  }

  /**
   * What is said of a pose that has changed since is hidden until the answer to the newest question is shown; that it is
   * being drawn is said as long as an answer may come.
   */
  behind() {
    const late = this.shown !== this.asked;
    this.box.classList.toggle("is-behind", late);
    clearTimeout(this.late);
    if (late && (this.busy || this.waiting.length)) {
      this.late = setTimeout(() => {
        this.working.hidden = false;
        this.box.setAttribute("aria-busy", "true");
      }, 150);
    } else {
      this.working.hidden = true;
      this.box.removeAttribute("aria-busy");
    }
  }

  async askAll() {
    this.busy = true;
    while (this.waiting.length) {
      try {
        await this.askOne(this.waiting.shift());
      } catch (error) {
        this.status.textContent = error.message;
      }
    }
    this.busy = false;
    this.behind();
  }

  async askOne(question) {
    const { sides, kind, code } = this.entry.value, { side, grey, rest } = this, figure = structuredClone(this.spec);
    const asked = { figure, rest, sides, kind, code, side, grey, language, ...question.more };
    const answer = await askNow(question.name, asked);
    const same = JSON.stringify(this.spec) === JSON.stringify(figure);
    if (answer.figure && !same && changes(question)) { // somebody wrote in it meanwhile: done again with what stands there
      this.waiting.unshift(question);
      return;
    }
    if (answer.figure && same && (changes(question) || !this.waiting.length)) {
      this.entry.value.figure = answer.figure;
      this.changed();
      if (answer.stated?.length) this.status.textContent = say("stated", { what: answer.stated.join(", ") });
    }
    if (answer.live) {
      this.stage.show(answer.live);
      clearTimeout(this.settling);
      this.settling = setTimeout(() => this.settle(), 400);
      return;
    }
    this.answer = answer;
    this.answered = question.number;
    this.rest = answer.figure || figure;
    await this.draw();
  }

  /** Show all of a figure again that was shown by panel, unless it is still being dragged or asked for. */
  settle() {
    if (!this.busy && !this.stage.held) this.ask();
  }

  /** What is edited is the panel whose tab is lit, so the tabs follow before the answer does. */
  edit(change) {
    change(this.spec);
    this.status.textContent = "";
    this.changed();
    this.drawTabs();
    this.ask();
  }

  /** The picture follows at once; what can be pressed waits until nothing is, and for the newest answer. */
  async draw() {
    const all = await known();
    this.panel = Math.min(this.panel, this.spec.poses.length - 1);
    const shown = this.answer.panels[this.panel];
    if (shown) this.stage.show(shown);
    if (this.drawing || this.waiting.length) return;
    this.drawing = true;
    unpressed().then(() => {
      this.drawing = false;
      this.drawControls(all);
    });
  }

  drawControls(all) {
    const { joints, panels } = this.answer;
    this.shown = this.answered;
    this.behind();
    this.drawTabs();
    this.drawFindings();
    redraw(this.tools, ...tools(this, all, things(this, all)));
    if (joints?.[this.panel]) redraw(this.sliders, ...sliders(this, joints[this.panel]));
    redraw(this.touches, ...contacts(this, all));
    this.small.replaceChildren(...panels.map((one) => {
      const box = make("span", { className: "tiny" });
      box.innerHTML = one.svg;
      return box;
    }));
  }

  drawTabs() {
    const poses = this.spec.poses;
    const tab = (_, index) => {
      const turn = () => this.turnTo(index);
      const pressed = String(index === this.panel);
      return button(say("panel", { number: index + 1 }), turn, { className: "small", "aria-pressed": pressed });
    };
    const add = () => {
      this.panel = poses.length;
      this.edit((spec) => spec.poses.push({ joints: {} }));
    };
    const remove = () =>
      this.edit((spec) => {
        spec.poses.splice(this.panel, 1);
        this.panel -= 1;
      });
    redraw(
      this.tabs,
      ...poses.map(tab),
      poses.length < 4 ? button(say("add_panel"), add, { id: "add-panel", className: "small" }) : "",
      poses.length > 1 && this.panel
        ? button(say("remove_panel"), remove, { id: "remove-panel", className: "small" })
        : "",
    );
  }

  drawFindings() {
    const way = (words, take) => button(words, take, { className: "small" });
    const fix = (one) => this.ask("fix", { panel: one.loc[1], fix: one.fix });
    const ways = (one) => [
      ...(one.fix ? [way(say("do_this", { what: one.fix_says }), () => fix(one))] : []),
      ...(one.views || []).map(([words, view]) => way(words, () => this.edit((spec) => set(spec, "view", view)))),
      ...(one.places || []).map(([words, name, value]) =>
        way(words, () => this.edit((spec) => set(spec.props[one.loc[1]], name, value)))
      ),
    ];
    const lines = this.answer.problems.map((one) => note(one.severity, one.message, one.hint, ways(one)));
    redraw(this.findings, ...(lines.length ? lines : [make("p", { className: "hint" }, say("figure_fine"))]));
  }
}
