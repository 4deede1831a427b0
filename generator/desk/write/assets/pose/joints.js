/* Sliders for each joint of a pose; a stated angle is marked and can be let go. */
"use strict";
import { button, make, say } from "../ask.js";

const GROUPS = ["affected_leg", "affected_arm", "other_leg", "other_arm", "back"];
const LEG = ["hip", "knee", "ankle", "toes"];

/** The sliders, grouped by limb: `joints` as the desk gives them. */
export function sliders(posing, joints) {
  const groups = new Map();
  for (const one of joints) {
    const sided = ["affected", "other"].includes(one.where);
    const name = sided ? `${one.where}_${LEG.includes(one.joint) ? "leg" : "arm"}` : "back";
    groups.set(name, [...(groups.get(name) || []), one]);
  }
  posing.open ||= new Set([...groups].filter(([, rows]) => rows.some((one) => one.stated)).map(([name]) => name));
  return [
    make("h3", {}, say("joints")),
    ...GROUPS.filter((name) => groups.has(name)).map((name) => group(posing, name, groups.get(name))),
  ];
}

function group(posing, name, rows) {
  const count = rows.filter((one) => one.stated).length;
  const toggle = (event) => {
    if (event.currentTarget.open) posing.open.add(name);
    else posing.open.delete(name);
  };
  return make(
    "details",
    { id: `joints-${name}`, open: posing.open.has(name), ontoggle: toggle },
    make(
      "summary",
      {},
      say(`group_${name}`),
      count ? make("span", { className: "hint" }, ` ${say("stated_count", { count })}`) : "",
    ),
    ...rows.map((one) => slider(posing, one)),
  );
}

function slider(posing, one) {
  const id = `joint-${one.where}-${one.joint}-${one.word}`;
  const tell = (value) => `${Math.abs(value)}° ${value < 0 ? one.down : one.up}`;
  const turned = (event) => {
    const input = event.currentTarget, value = Number(input.value);
    input.parentElement.querySelector("output").textContent = tell(value);
    input.setAttribute("aria-valuetext", tell(value));
    state(posing, one, value);
  };
  const input = make("input", {
    type: "range",
    id,
    min: one.low,
    max: one.high,
    step: 5,
    value: one.value,
    "aria-valuetext": tell(one.value),
    oninput: turned,
    onchange: () => posing.ask(),
  });
  const free = button(say("let_go"), () => posing.edit(() => drop(posing.pose, one)), {
    id: `${id}-free`,
    className: "small",
    title: say("let_go_about"),
    "aria-label": `${say("let_go")}: ${one.label} ${one.up}`,
  });
  if (!one.stated) free.style.visibility = "hidden"; // its place is kept, so that the slider stays as long as it was
  const trade = (word) => word.replace(/_/g, " ");
  return make(
    "div",
    { className: `slider${one.stated ? " is-stated" : ""}`, title: `${trade(one.opposite)} / ${trade(one.word)}` },
    make("label", { htmlFor: id }, `${one.label}: ${one.down} / ${one.up}`),
    input,
    make("output", { htmlFor: id }, tell(one.value)),
    free,
  );
}

function state(posing, one, value) {
  drop(posing.pose, one);
  const joints = posing.pose.joints ||= {};
  const own = one.where === one.joint ? joints[one.joint] ||= {} : (joints[one.where] ||= {})[one.joint] ||= {};
  own[value < 0 ? one.opposite : one.word] = Math.abs(value);
  posing.status.textContent = "";
  posing.changed();
  posing.ask("figure", { live: true });
}

function drop(pose, one) {
  const joints = pose.joints;
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
  if (!Object.keys(joints).length) delete pose.joints;
}
