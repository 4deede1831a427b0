/* Posing a figure: posture and things by picture, joints by sliders, hands and feet by their handles in the drawing. */
"use strict";
import { ask, button, dialog, make, say, up, words } from "./ask.js";
import { note } from "./fields.js";

let choices = null;
const language = localStorage.getItem("limberleaf-language") || "en";

async function known() {
  choices ||= await ask("figure-words", { language });
  return choices;
}

/** A grid of pictures to choose one from. */
function pictures(title, list, take) {
  const find = make("input", { type: "search", id: "find-picture", autocomplete: "off" });
  const grid = make(
    "ul",
    { className: "pictures" },
    ...list.map(([name, label]) =>
      make(
        "li",
        {},
        button("", () => {
          shell.close();
          take(name);
        }, { className: "picture", name, "aria-label": label }),
      )
    ),
  );
  for (const [index, [, label, picture]] of list.entries()) {
    grid.children[index].firstChild.append(
      make("img", { src: `${up}${picture}`, alt: "", loading: "lazy" }),
      make("span", {}, label),
    );
  }
  find.addEventListener("input", () => {
    for (const [index, [, label]] of list.entries()) {
      grid.children[index].hidden = !label.toLowerCase().includes(find.value.toLowerCase());
    }
  });
  const shell = dialog(title, make("p", {}, make("label", { htmlFor: "find-picture" }, say("find")), " ", find), grid);
}

/** Names to choose from, under the limb they belong to, with a search. */
function grouped(title, rows, now, take) {
  const find = make("input", { type: "search", id: "find-part", autocomplete: "off" });
  const groups = new Map();
  for (const [name, group] of rows) groups.set(group, [...(groups.get(group) || []), name]);
  const boxes = [...groups].map(([group, names]) =>
    make(
      "section",
      {},
      make("h3", {}, say(`group_${group}`)),
      make(
        "ul",
        { className: "names" },
        ...names.map((name) =>
          make(
            "li",
            {},
            button(name, () => {
              shell.close();
              take(name);
            }, { className: "small", "aria-pressed": String(name === now) }),
          )
        ),
      ),
    )
  );
  find.addEventListener("input", () => {
    for (const box of boxes) {
      for (const one of box.querySelectorAll("li")) {
        one.hidden = !one.textContent.includes(find.value.trim().toLowerCase());
      }
      box.hidden = !box.querySelector("li:not([hidden])");
    }
  });
  const shell = dialog(title, make("p", {}, make("label", { htmlFor: "find-part" }, say("find")), " ", find), ...boxes);
  find.focus();
}

/** The field for the posture of an entry: its picture, and a button that shows all of them. */
export function postureField(entry) {
  return function posture(field, loc, id) {
    const form = this, shown = make("span", { className: "posture-shown" });
    const draw = async () => {
      const all = (await known()).postures, now = all.find(([name]) => name === entry.value.position);
      shown.replaceChildren(
        ...(now ? [make("img", { src: `${up}${now[2]}`, alt: "" }), make("span", {}, now[1])] : [say("none_chosen")]),
      );
    };
    const choose = button(say("choose_posture"), async () => {
      const all = (await known()).postures;
      pictures(field.label, all, (name) => {
        form.set(loc, name);
        const poses = entry.value.figure?.poses;
        if (poses?.length) {
          poses[0].posture = name;
          form.fields.get("figure")?.redraw?.();
        }
        draw();
        choose.focus();
      });
    }, { id, className: "small" });
    draw();
    queueMicrotask(() => {
      const one = form.fields.get("position");
      if (one) one.redraw = draw;
    });
    return {
      id,
      input: choose,
      parts: [this.label(field, id), this.help(field, id, loc), make("div", { className: "picker" }, shown, choose)],
    };
  };
}

/** The field in which a figure is posed. */
export function figureField(entry, form) {
  return function figure(_field, loc) {
    const id = this.id();
    const pose = new Posing(entry, () => this.changed(loc), form);
    const made = { id, input: pose.box, parts: [pose.box] };
    queueMicrotask(() => {
      const one = form()?.fields.get("figure");
      if (one) Object.assign(one, { redraw: () => pose.ask(), show: (number) => pose.turnTo(number) });
    });
    return made;
  };
}

class Posing {
  entry;
  changed;
  form;
  busy;
  next;

  constructor(entry, changed, form) {
    entry.posing ||= { panel: 0, side: "right", grey: false, open: null, more: false };
    Object.assign(this, { entry, changed, form, busy: false, next: null });
    this.stage = make("div", { className: "stage" });
    this.tabs = make("div", { className: "panel-tabs", role: "group", "aria-label": say("panels") });
    this.findings = make("div", { className: "notes-here", role: "region", "aria-label": say("figure_findings") });
    this.status = make("p", { className: "hint", role: "status" });
    this.tools = make("div", { className: "pose-tools" });
    this.sliders = make("div", { className: "sliders" });
    this.small = make("div", { className: "small-pictures", "aria-hidden": "true" });
    this.touches = make("div", { className: "touches" });
    this.box = make(
      "div",
      { className: "posing" },
      make(
        "div",
        { className: "pose-left" },
        make("div", { className: "pose-view" }, this.tabs, this.stage, this.status),
      ),
      make("div", { className: "pose-right" }, this.findings, this.tools, this.sliders, this.touches, this.small),
    );
    this.ask();
  }

  /** Which panel, side and colour are looked at: kept with the entry, so that undo and save leave them. */
  get panel() {
    return this.entry.posing.panel;
  }
  set panel(number) {
    this.entry.posing.panel = number;
  }
  get side() {
    return this.entry.posing.side;
  }
  set side(side) {
    this.entry.posing.side = side;
  }
  get grey() {
    return this.entry.posing.grey;
  }
  set grey(grey) {
    this.entry.posing.grey = grey;
  }

  turnTo(number) {
    if (number === undefined || number >= this.spec.poses.length) return;
    this.panel = number;
    if (this.answer) this.draw();
  }

  get spec() {
    return this.entry.value.figure ||
      (this.entry.value.figure = { poses: [{ posture: this.entry.value.position || "standing" }] });
  }
  get pose() {
    return this.spec.poses[this.panel] || this.spec.poses[0];
  }

  /** Ask for the figure as it is; only one question is on its way at a time, and only the newest waits. */
  async ask(name = "figure", more = {}) {
    if (this.busy) {
      this.next = [name, more];
      return;
    }
    this.busy = true;
    try {
      const answer = await ask(name, {
        figure: this.spec,
        sides: this.entry.value.sides,
        kind: this.entry.value.kind,
        side: this.side,
        grey: this.grey,
        panel: this.panel,
        language,
        ...more,
      });
      if (answer.figure && !this.next) {
        this.entry.value.figure = answer.figure;
        this.changed();
      }
      this.answer = answer;
      if (answer.stated?.length) this.status.textContent = say("stated", { what: answer.stated.join(", ") });
      await this.draw();
    } catch (error) {
      this.status.textContent = error.message;
    }
    this.busy = false;
    if (this.next) {
      const [then, rest] = this.next;
      this.next = null;
      this.ask(then, rest);
    }
  }

  edit(change) {
    change(this.spec);
    this.changed();
    this.ask();
  }

  async draw() {
    const all = await known(), answer = this.answer;
    this.panel = Math.min(this.panel, this.spec.poses.length - 1);
    this.drawTabs();
    if (answer.panels.length && !this.dragging) this.drawStage(answer.panels[this.panel]);
    else if (answer.panels.length) this.repaint(answer.panels[this.panel]);
    this.drawFindings();
    if (this.dragging) return;
    this.drawTools(all);
    if (answer.joints && !this.sliding) this.drawSliders(answer.joints[this.panel]);
    this.drawTouches(all);
    this.small.replaceChildren(...answer.panels.map((one) => {
      const box = make("span", { className: "tiny" });
      box.innerHTML = one.svg;
      return box;
    }));
  }

  drawTabs() {
    const poses = this.spec.poses;
    this.tabs.replaceChildren(
      ...poses.map((_, index) =>
        button(say("panel", { number: index + 1 }), () => {
          this.panel = index;
          this.draw();
        }, { className: "small", "aria-pressed": String(index === this.panel) })
      ),
      poses.length < 4
        ? button(say("add_panel"), () => {
          this.panel = poses.length;
          this.edit((spec) => spec.poses.push({ joints: {} }));
        }, { className: "small" })
        : "",
      poses.length > 1 && this.panel
        ? button(say("remove_panel"), () =>
          this.edit((spec) => {
            spec.poses.splice(this.panel, 1);
            this.panel -= 1;
          }), { className: "small" })
        : "",
    );
  }

  drawStage(panel) {
    const held = /** @type {HTMLElement | null} */ (document.activeElement)?.dataset?.part;
    this.picture = make("div", { className: `picture-here${this.grey ? " is-grey" : ""}` });
    this.picture.innerHTML = panel.svg;
    this.handles = make("div", { className: "handles" });
    this.stage.replaceChildren(this.picture, this.handles);
    if (this.side === "right") this.handles.append(...panel.handles.map((one) => this.handle(one)));
    this.place(panel);
    if (held) this.handles.querySelector(`[data-part="${held}"]`)?.focus();
  }

  repaint(panel) {
    this.picture.innerHTML = panel.svg;
    this.place(panel);
  }

  place(panel) {
    for (const one of panel.handles) {
      const handle = this.handles.querySelector(`[data-part="${one.part}"]`);
      if (!handle || handle === this.dragging) continue;
      handle.style.left = `${one.x * 100}%`;
      handle.style.top = `${one.y * 100}%`;
      handle.at = one;
    }
  }

  /** A handle: dragged by pointer, or moved by the arrow keys. */
  handle(one) {
    const handle = button("", () => {}, {
      className: `handle ${one.part.startsWith("affected") ? "is-affected" : ""}`,
      "aria-label": say("handle", { part: this.part(one.part) }),
    });
    handle.dataset.part = one.part;
    handle.dataset.name = this.part(one.part);
    handle.at = one;
    const where = (event) => {
      const box = this.handles.getBoundingClientRect();
      return { x: (event.clientX - box.left) / box.width, y: (event.clientY - box.top) / box.height };
    };
    handle.addEventListener("pointerdown", (event) => {
      handle.setPointerCapture(event.pointerId);
      this.dragging = handle;
    });
    handle.addEventListener("pointermove", (event) => {
      if (this.dragging !== handle) return;
      const at = where(event);
      handle.style.left = `${at.x * 100}%`;
      handle.style.top = `${at.y * 100}%`;
      this.moved = true;
      this.ask("drag", { part: one.part, ...at });
    });
    const stop = (event) => {
      if (this.dragging !== handle) return;
      this.dragging = null;
      if (this.moved) this.ask("drag", { part: one.part, ...where(event), drop: true });
      this.moved = false;
    };
    handle.addEventListener("pointerup", stop);
    handle.addEventListener("pointercancel", stop);
    handle.addEventListener("keydown", (event) => {
      const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
      if (!step) return;
      event.preventDefault();
      this.ask("drag", {
        part: one.part,
        x: handle.at.x + step[0] * 0.05,
        y: handle.at.y + step[1] * 0.05,
        drop: true,
      });
    });
    return handle;
  }

  part(name) {
    return name.split(" ").map((one) => words[`part_${one}`] || one).join(" ");
  }

  drawFindings() {
    this.findings.replaceChildren(
      ...this.answer.problems.map((one) =>
        note(
          one.severity,
          one.message,
          one.hint,
          one.fix
            ? button(
              say("do_this", { what: one.fix_says }),
              () => this.ask("fix", { panel: one.loc[1], fix: one.fix }),
              { className: "small" },
            )
            : null,
        )
      ),
    );
    if (!this.answer.problems.length) this.findings.append(make("p", { className: "hint" }, say("figure_fine")));
  }

  drawTools(all) {
    const spec = this.spec, pose = this.pose, now = all.postures.find(([name]) => name === pose.posture);
    const select = (id, label, options, value, write, none = say("automatic")) => {
      const input = make(
        "select",
        { id, onchange: () => this.edit(() => write(input.value || undefined)) },
        none ? make("option", { value: "" }, none) : "",
        ...options.map(([name, label]) => make("option", { value: name }, label)),
      );
      input.value = value ?? "";
      return make("p", { className: "tool" }, make("label", { htmlFor: id }, label), " ", input);
    };
    const set = (object, name) => (value) => {
      if (value === undefined) delete object[name];
      else object[name] = value;
    };
    const first = (value) => Array.isArray(value) ? value[0] : value;
    const caption = make("textarea", {
      id: "pose-caption",
      rows: 2,
      value: pose.caption || "",
      dir: "auto",
      oninput: () => {
        set(pose, "caption")(caption.value.trim() || undefined);
        this.changed();
      },
    });
    const parts = all.parts.map(([one]) => [one, one]);
    const focused = document.activeElement?.id;
    this.tools.replaceChildren(
      make(
        "div",
        { className: "tool" },
        make("span", { className: "name" }, say("posture")),
        now
          ? make("span", { className: "posture-shown" }, make("img", { src: `${up}${now[2]}`, alt: "" }), now[1])
          : say("as_before"),
        " ",
        button(say("choose_posture"), () => pictures(say("posture"), all.postures, (name) => this.takePosture(name)), {
          className: "small",
        }),
      ),
      make(
        "div",
        { className: "tool" },
        make("span", { className: "name" }, say("things")),
        make(
          "ul",
          { className: "things" },
          ...(spec.props || []).map((one, index) =>
            make(
              "li",
              {},
              (all.props.find(([name]) => name === one.kind) || [0, one.kind])[1],
              " ",
              button("×", () =>
                this.edit(() => {
                  spec.props.splice(index, 1);
                  if (!spec.props.length) delete spec.props;
                }), { className: "icon", "aria-label": `${say("remove")}: ${one.kind}` }),
            )
          ),
        ),
        button(say("add_thing"), () =>
          pictures(say("things"), all.props, (name) =>
            this.edit(() => {
              spec.props = [...(spec.props || []), { kind: name }];
            })), { className: "small" }),
      ),
      make(
        "p",
        { className: "tool wide" },
        make("label", { htmlFor: "pose-caption" }, say("caption_here", { number: this.panel + 1 })),
        caption,
      ),
      make(
        "details",
        {
          open: this.entry.posing.more,
          ontoggle: (event) => {
            this.entry.posing.more = event.target.open;
          },
        },
        make("summary", {}, say("view_signs")),
        select(
          "pose-view",
          say("view"),
          all.views.filter(([name]) => name !== "auto"),
          spec.view === "auto" ? "" : spec.view,
          set(spec, "view"),
        ),
        button(say("turn"), () =>
          this.edit(() => {
            const names = all.views.map(([name]) => name).filter((one) => one !== "auto");
            spec.view = names[(names.indexOf(spec.view || "") + 1) % names.length];
          }), { className: "small" }),
        select(
          "pose-arrow",
          say("arrow"),
          [["none", say("no_arrow")], ...parts],
          first(spec.arrow),
          set(spec, "arrow"),
        ),
        select("pose-felt", say("felt"), parts, first(spec.highlight), set(spec, "highlight"), say("none_chosen")),
        select("pose-move", say("movement"), all.movements, spec.movement, set(spec, "movement")),
        select("pose-inset", say("inset"), all.insets, spec.inset, set(spec, "inset"), say("none_chosen")),
        select(
          "pose-lead",
          say("lead"),
          [["affected", this.part("affected")], ["other", this.part("other")]],
          pose.lead,
          set(pose, "lead"),
        ),
      ),
      make(
        "p",
        { className: "tool" },
        make("span", { className: "hint" }, say("only_view")),
        " ",
        button(say("show_left"), () => {
          this.side = this.side === "right" ? "left" : "right";
          this.ask();
        }, { className: "small", "aria-pressed": String(this.side === "left") }),
        " ",
        button(say("show_grey"), () => {
          this.grey = !this.grey;
          this.ask();
        }, { className: "small", "aria-pressed": String(this.grey) }),
      ),
    );
    if (focused) document.getElementById(focused)?.focus();
  }

  /** The posture of a panel; that of the first is the posture the exercise starts in, which is not asked twice. */
  takePosture(name) {
    const was = this.pose.posture, value = this.entry.value;
    if (!this.panel && (!value.position || value.position === was)) {
      value.position = name;
      this.form()?.fields.get("position")?.redraw?.();
    }
    this.edit(() => {
      this.pose.posture = name;
    });
  }

  /** Sliders for each joint; a stated angle is marked and can be let go. */
  drawSliders(joints) {
    const drawn = [...this.sliders.querySelectorAll("details")];
    if (drawn.length) this.entry.posing.open = drawn.filter((one) => one.open).map((one) => one.dataset.group);
    const open = new Set(this.entry.posing.open || []);
    const focus = document.activeElement?.id;
    const groups = new Map();
    for (const one of joints) {
      const side = ["affected", "other"].includes(one.where) ? one.where : "";
      const limb = ["hip", "knee", "ankle", "toes"].includes(one.joint) ? "leg" : side ? "arm" : "back";
      const name = side ? `${side}_${limb}` : "back";
      groups.set(name, [...(groups.get(name) || []), one]);
    }
    const order = ["affected_leg", "affected_arm", "other_leg", "other_arm", "back"];
    this.sliders.replaceChildren(
      make("h3", {}, say("joints")),
      ...order.filter((one) => groups.has(one)).map((name) => {
        const rows = groups.get(name), stated = rows.filter((one) => one.stated).length;
        const box = make(
          "details",
          { open: open.has(name) || (!this.entry.posing.open && stated > 0) },
          make(
            "summary",
            {},
            say(`group_${name}`),
            stated ? make("span", { className: "hint" }, ` ${say("stated_count", { count: stated })}`) : "",
          ),
          ...rows.map((one) => this.slider(one)),
        );
        box.dataset.group = name;
        return box;
      }),
    );
    if (focus) document.getElementById(focus)?.focus();
  }

  slider(one) {
    const id = `joint-${one.where}-${one.joint}-${one.word}`;
    const tell = (value) => `${Math.abs(value)}° ${value < 0 ? one.down : one.up}`;
    const out = make("output", { htmlFor: id }, tell(one.value));
    const input = make("input", {
      type: "range",
      id,
      min: one.low,
      max: one.high,
      step: 5,
      value: one.value,
      oninput: () => {
        out.textContent = tell(Number(input.value));
        input.setAttribute("aria-valuetext", out.textContent);
        this.sliding = true;
        this.state(one, Number(input.value));
      },
      onchange: () => {
        this.sliding = false;
        this.ask();
      },
    });
    input.setAttribute("aria-valuetext", tell(one.value));
    const trade = (word) => word.replace(/_/g, " ");
    const free = button(say("let_go"), () => this.edit(() => this.drop(one)), {
      className: "small",
      title: say("let_go_about"),
      "aria-label": `${say("let_go")}: ${one.label} ${one.up}`,
    });
    if (!one.stated) free.style.visibility = "hidden"; // its place is kept, so that the slider stays as long as it was
    return make(
      "div",
      { className: `slider${one.stated ? " is-stated" : ""}`, title: `${trade(one.opposite)} / ${trade(one.word)}` },
      make("label", { htmlFor: id }, `${one.label}: ${one.down} / ${one.up}`),
      input,
      out,
      free,
    );
  }

  state(one, value) {
    this.drop(one);
    const joints = this.pose.joints ||= {};
    const own = one.where === one.joint ? joints[one.joint] ||= {} : (joints[one.where] ||= {})[one.joint] ||= {};
    own[value < 0 ? one.opposite : one.word] = Math.abs(value);
    this.changed();
    this.ask();
  }

  drop(one) {
    const joints = this.pose.joints;
    if (!joints) return;
    for (const where of one.where === one.joint ? [null] : [one.where, "both"]) {
      const limb = where ? joints[where] : joints, own = limb?.[one.joint];
      if (!own) continue;
      if (where === "both") { // what was said of both sides stays said of the other one
        const rest = one.where === "affected" ? "other" : "affected";
        const kept = Object.fromEntries(
          [one.word, one.opposite].filter((name) => name in own).map((name) => [name, own[name]]),
        );
        if (Object.keys(kept).length) Object.assign((joints[rest] ||= {})[one.joint] ||= {}, kept);
      }
      delete own[one.word];
      delete own[one.opposite];
      if (!Object.keys(own).length) delete limb[one.joint];
      if (where && !Object.keys(limb).length) delete joints[where];
    }
    if (!Object.keys(joints).length) delete this.pose.joints;
  }

  /** What touches what, line by line; directions are shown and can be taken away. */
  drawTouches(all) {
    const pose = this.pose, list = pose.contacts || [];
    const focus = document.activeElement?.id;
    const change = (index, name, value) =>
      this.edit(() => {
        const one = list[index];
        if (name === "part") one.part = value;
        else {
          for (const old of ["on", "holding", "release"]) if (name !== "place" || old === "release") delete one[old];
          if (name === "how") one[value === "release" ? "release" : value] = value === "release" ? true : "floor";
          else one["holding" in one ? "holding" : "on"] = value;
        }
      });
    const things = all.places.map((one) => [one, "things"]);
    const chooser = (id, label, now, rows, take) =>
      button(now, () => grouped(label, rows, now, take), {
        id,
        className: "small chooser",
        "aria-label": `${label}: ${now}`,
      });
    const row = (one, index) => {
      const how = one.release ? "release" : "holding" in one ? "holding" : "on";
      return make(
        "li",
        {},
        chooser(`touch-${index}-part`, say("touch_part"), one.part, all.parts, (name) => change(index, "part", name)),
        make(
          "select",
          {
            id: `touch-${index}-how`,
            "aria-label": say("touch_how"),
            onchange: (event) => change(index, "how", event.target.value),
          },
          ...["on", "holding", "release"].map((name) =>
            make("option", { value: name, selected: name === how }, say(`touch_${name}`))
          ),
        ),
        how === "release" ? "" : chooser(
          `touch-${index}-place`,
          say("touch_place"),
          one[how],
          [...things, ...all.parts],
          (name) => change(index, "place", name),
        ),
        button("×", () =>
          this.edit(() => {
            list.splice(index, 1);
            if (!list.length) delete pose.contacts;
          }), { className: "icon", "aria-label": `${say("remove")}: ${one.part}` }),
      );
    };
    const more = ["directions", "open"].flatMap((name) =>
      (Array.isArray(pose[name]) ? pose[name] : pose[name] ? [pose[name]] : []).map((one, index) =>
        make(
          "li",
          {},
          typeof one === "string" ? `open: ${one}` : Object.entries(one).map((pair) => pair.join(": ")).join(", "),
          " ",
          button("×", () =>
            this.edit(() => {
              if (Array.isArray(pose[name])) {
                pose[name].splice(index, 1);
                if (!pose[name].length) delete pose[name];
              } else delete pose[name];
            }), { className: "icon", "aria-label": say("remove") }),
        )
      )
    );
    this.touches.replaceChildren(
      make("h3", {}, say("touches")),
      make("ul", { className: "touch-list" }, ...list.map(row), ...more),
      button(say("add_touch"), () =>
        this.edit(() => {
          pose.contacts = [...list, { part: "affected foot", on: "floor" }];
        }), { className: "small" }),
      " ",
      button(say("trunk_upright"), () =>
        this.edit(() => {
          pose.directions = [...(pose.directions || []), { upright: "trunk" }];
        }), { className: "small" }),
    );
    if (focus) document.getElementById(focus)?.focus();
  }
}
