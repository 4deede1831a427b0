/* Pressing a hand, elbow, knee or foot of the drawing: what it rests on, holds, or that it touches nothing. */
"use strict";
import { button, dialog, make, say } from "../ask.js";
import { called, grouped, known, partName, pictures } from "./choosers.js";

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
    return surfaces.length ? surfaces.map((one) => [one, called(one)]) : [[kind.replaceAll("_", " "), label]];
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
  const handles = posing.answer.panels[posing.panel]?.handles || [];
  const { touches, given } = handles.find((one) => one.part === handle) || { touches: [], given: "" };
  const free = () => {
    shell.close();
    touch(posing, own, given ? { part: given, release: true } : null);
  };
  const which = make(
    "select",
    {
      id: "pick-part",
      onchange: (event) => {
        part = event.currentTarget.value;
      },
    },
    ...own.map((name) => make("option", { value: name, selected: name === part }, called(name))),
  );
  const shell = dialog(
    partName(handle),
    make("p", {}, touches.length ? say("pick_now", { what: touches.join(", ") }) : say("pick_now_nothing")),
    touches.length ? make("p", {}, button(say("pick_nothing"), free, small)) : "",
    make("p", {}, make("label", { htmlFor: "pick-part" }, say("touch_part")), " ", which),
    lines("on", [["floor", say("pick_floor")], ...inFigure], (name) => choose("on", name)),
    make("p", {}, button(say("pick_thing"), another, small)),
    place === "hand" ? lines("holding", inFigure, (name) => choose("holding", name)) : "",
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
