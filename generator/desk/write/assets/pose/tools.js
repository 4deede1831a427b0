/* The tools of a panel: posture, things, caption, how it is seen, its signs; and what changes only one's own view. */
"use strict";
import { button, make, say, up } from "../ask.js";
import { called, partName, pictures, select, set } from "./choosers.js";

const first = (value) => Array.isArray(value) ? value[0] : value;

/** The tools, with the list of `things` among them. */
export function tools(posing, all, things) {
  return [posture(posing, all), things, caption(posing), signs(posing, all), ownView(posing)];
}

function posture(posing, all) {
  const now = all.postures.find(([name]) => name === posing.pose.posture);
  const choose = () => pictures(say("posture"), all.postures, (name) => takePosture(posing, name));
  return make(
    "div",
    { className: "tool" },
    make("span", { className: "name" }, say("posture")),
    now
      ? make("span", { className: "posture-shown" }, make("img", { src: `${up}${now[2]}`, alt: "" }), now[1])
      : say("as_before"),
    " ",
    button(say("choose_posture"), choose, { className: "small" }),
  );
}

/** The posture of a panel; that of the first is the posture the exercise starts in, which is not asked twice. */
function takePosture(posing, name) {
  const was = posing.pose.posture, value = posing.entry.value;
  if (!posing.panel && (!value.position || value.position === was)) {
    value.position = name;
    posing.form()?.fields.get("position")?.redraw?.();
  }
  posing.edit(() => {
    posing.pose.posture = name;
  });
}

function caption(posing) {
  const write = (event) => {
    set(posing.pose, "caption", event.currentTarget.value.trim() || undefined);
    posing.changed();
  };
  const putIn = (side) => () => {
    const area = /** @type {HTMLTextAreaElement} */ (document.getElementById("pose-caption"));
    area.setRangeText(`{${side}}`, area.selectionStart, area.selectionEnd, "end");
    area.dispatchEvent(new Event("input"));
    area.focus();
  };
  const put = (side) => button(partName(side), putIn(side), { id: `caption-${side}`, className: "blank" });
  const area = { id: "pose-caption", rows: 3, value: posing.pose.caption || "", dir: "auto", oninput: write };
  return make(
    "div",
    { id: "pose-caption-tool", className: "tool wide" },
    make("label", { htmlFor: "pose-caption" }, say("caption_here", { number: posing.panel + 1 })),
    make("textarea", area),
    make(
      "div",
      { className: "blanks", role: "group", "aria-label": say("put_in") },
      make("span", { className: "hint" }, say("put_in")),
      put("affected"),
      put("other"),
    ),
  );
}

/** How the figure is seen and which signs it has. */
function signs(posing, all) {
  const { spec, pose } = posing, parts = all.parts.map(([one]) => [one, called(one)]);
  const writes = (object, name) => (value) => posing.edit(() => set(object, name, value));
  const views = all.views.filter(([name]) => name !== "auto");
  const turn = () => {
    const names = views.map(([name]) => name);
    spec.view = names[(names.indexOf(spec.view || "") + 1) % names.length];
  };
  const move = (value) =>
    posing.edit(() => {
      set(spec, "movement", value);
      if (value !== "press") delete spec.press;
    });
  const arrows = [["none", say("no_arrow")], ...parts], none = say("none_chosen");
  const sides = [["affected", partName("affected")], ["other", partName("other")]];
  const toggle = (event) => {
    posing.more = event.currentTarget.open;
  };
  return make(
    "details",
    { id: "pose-signs", open: posing.more, ontoggle: toggle },
    make("summary", {}, say("view_signs")),
    select("pose-view", say("view"), views, spec.view === "auto" ? "" : spec.view, writes(spec, "view")),
    button(say("turn"), () => posing.edit(turn), { id: "pose-turn", className: "small" }),
    select("pose-move", say("movement"), all.movements, spec.movement, move),
    spec.movement === "press"
      ? select(
        "pose-press",
        say("press_way"),
        all.presses.slice(1),
        spec.press,
        writes(spec, "press"),
        say("press_down"),
      )
      : "",
    select("pose-arrow", say("arrow"), arrows, first(spec.arrow), writes(spec, "arrow")),
    select("pose-felt", say("felt"), parts, first(spec.highlight), writes(spec, "highlight"), none),
    select("pose-inset", say("inset"), all.insets, spec.inset, writes(spec, "inset"), none),
    select("pose-lead", say("lead"), sides, pose.lead, writes(pose, "lead")),
  );
}

function ownView(posing) {
  const turn = () => {
    posing.side = posing.side === "right" ? "left" : "right";
    posing.ask();
  };
  const colour = () => {
    posing.grey = !posing.grey;
    posing.ask();
  };
  const pressed = (on) => ({ className: "small", "aria-pressed": String(on) });
  return make(
    "p",
    { className: "tool" },
    make("span", { className: "hint" }, say("only_view")),
    " ",
    button(say("show_left"), turn, pressed(posing.side === "left")),
    " ",
    button(say("show_grey"), colour, pressed(posing.grey)),
  );
}
