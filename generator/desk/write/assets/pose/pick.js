/* Pressing a hand, elbow, knee or foot of the drawing: what it rests on, holds, or that it touches nothing. */
"use strict";
import { button, dialog, make, say } from "../ask.js";
import { grouped, known, partName, pictures } from "./choosers.js";

/** Ask what a part of the body touches: `handle` is its name in the drawing, such as "affected hand". */
export async function pickContact(posing, handle) {
  const all = await known(), [side, place] = handle.split(" "), near = all.near[place];
  const own = near.map((one) => `${side} ${one}`);
  const now = (pose) => (pose.contacts || []).find((one) => own.includes(one.part));
  let part = now(posing.pose)?.part || own[0];
  const choose = (how, where) => {
    shell.close();
    touch(posing, own, { part, [how]: where });
  };
  const inFigure = [...new Set((posing.spec.props || []).map((one) => one.kind))].flatMap((kind) => {
    const [, label, , , surfaces] = all.props.find(([name]) => name === kind) || [kind, kind, "", [], []];
    return surfaces.length ? surfaces.map((one) => [one, one]) : [[kind.replaceAll("_", " "), label]];
  });
  const lines = (how, rows, other) =>
    make(
      "section",
      {},
      make("h3", {}, say(`pick_${how}`)),
      make(
        "ul",
        { className: "names" },
        ...rows.map(([name, label]) => make("li", {}, button(label, () => choose(how, name), { className: "small" }))),
        make("li", {}, button(say("pick_body"), () => grouped(say("touch_place"), all.parts, "", other), small)),
      ),
    );
  const small = { className: "small" };
  const another = () =>
    pictures(say("things"), all.props, (name) => {
      const [, , , , surfaces] = all.props.find(([kind]) => kind === name);
      posing.spec.props = [...(posing.spec.props || []), { kind: name }];
      choose("on", surfaces[0] || name.replaceAll("_", " "));
    });
  const free = () => {
    shell.close();
    const before = posing.spec.poses.slice(0, posing.panel).some(now);
    touch(posing, own, before ? { part, release: true } : null);
  };
  const which = make(
    "select",
    {
      id: "pick-part",
      onchange: (event) => {
        part = event.currentTarget.value;
      },
    },
    ...own.map((name) => make("option", { value: name, selected: name === part }, name)),
  );
  const shell = dialog(
    partName(handle),
    make("p", {}, make("label", { htmlFor: "pick-part" }, say("touch_part")), " ", which),
    lines("on", [["floor", say("pick_floor")], ...inFigure], (name) => choose("on", name)),
    make("p", {}, button(say("pick_thing"), another, small)),
    place === "hand" ? lines("holding", inFigure, (name) => choose("holding", name)) : "",
    make("p", {}, button(say("pick_nothing"), free, small)),
  );
}

/** Put one contact in place of those of the same end of a limb; none leaves it free. */
function touch(posing, own, contact) {
  posing.edit(() => {
    const rest = (posing.pose.contacts || []).filter((one) => !own.includes(one.part));
    const contacts = contact ? [...rest, contact] : rest;
    if (contacts.length) posing.pose.contacts = contacts;
    else delete posing.pose.contacts;
  });
}
