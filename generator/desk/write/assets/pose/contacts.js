/* What touches what in a panel, line by line; and parts that are held level, upright or leaning. */
"use strict";
import { button, make, say, words } from "../ask.js";
import { called, chooser } from "./choosers.js";

const HOWS = ["on", "holding", "release"], SEGMENTS = ["level", "vertical"];

/** The lines with buttons that add one. */
export function contacts(posing, all) {
  const pose = posing.pose, list = pose.contacts || [], directions = pose.directions || [];
  const open = [pose.open || []].flat();
  const point = (direction) =>
    posing.edit(() => {
      pose.directions = [...directions, direction];
    });
  const add = make(
    "select",
    {
      id: "add-direction",
      onchange: (event) => {
        point(structuredClone(all.directions[event.currentTarget.value]));
        event.currentTarget.value = "";
      },
    },
    make("option", { value: "" }, say("add_direction")),
    ...Object.keys(all.directions).map((name) => make("option", { value: name }, words[`direction_${name}`])),
  );
  const another = () =>
    posing.edit(() => {
      pose.contacts = [...list, { part: "affected foot", on: "floor" }];
    });
  return [
    make("h3", {}, say("touches")),
    make("p", { className: "hint" }, say("touches_about")),
    make(
      "ul",
      { className: "touch-list" },
      ...list.map((one, index) => contact(posing, all, one, index)),
      ...directions.map((one, index) => direction(posing, all, one, index)),
      ...open.map((one, index) =>
        line(posing, "open", index, say("joint_free", { joint: all.joints_called[one] ?? one }))
      ),
    ),
    button(say("add_touch"), another, { id: "add-touch", className: "small" }),
    " ",
    make("label", { className: "hide", htmlFor: "add-direction" }, say("add_direction")),
    add,
  ];
}

/** Take a line out of a list of the pose; an empty list goes with it. */
function remove(posing, name, index, what) {
  const out = () =>
    posing.edit(() => {
      const rest = [posing.pose[name]].flat().filter((_, place) => place !== index);
      if (rest.length) posing.pose[name] = rest;
      else delete posing.pose[name];
    });
  return button("×", out, { className: "icon", "aria-label": `${say("remove")}: ${what}` });
}

function line(posing, name, index, what, ...more) {
  return make("li", { id: `touch-${name}-${index}` }, what, ...more, remove(posing, name, index, what));
}

function contact(posing, all, one, index) {
  const how = HOWS.find((name) => name in one) || "on", id = `touch-${index}`;
  const place = (value) =>
    posing.edit(() => {
      one[how] = value;
    });
  const part = (value) =>
    posing.edit(() => {
      one.part = value;
    });
  const touch = (event) => {
    const now = event.currentTarget.value;
    posing.edit(() => {
      const where = typeof one[how] === "string" ? one[how] : "floor";
      for (const old of HOWS) delete one[old];
      one[now] = now === "release" ? true : where;
    });
  };
  const rows = [...all.places.map((name) => [name, "things"]), ...all.parts];
  return make(
    "li",
    { id: `${id}-line` },
    chooser(`${id}-part`, say("touch_part"), one.part, all.parts, part),
    make(
      "select",
      { id: `${id}-how`, "aria-label": say("touch_how"), onchange: touch },
      ...HOWS.map((name) => make("option", { value: name, selected: name === how }, say(`touch_${name}`))),
    ),
    how === "release" ? "" : chooser(`${id}-place`, say("touch_place"), one[how], rows, place),
    remove(posing, "contacts", index, called(one.part)),
  );
}

/** A part held in a direction: which part, and for a lean how far. */
function direction(posing, all, one, index) {
  const name = ["level", "vertical", "upright", "lean"].find((word) => word in one);
  const way = "back" in one ? "lean_back" : name, id = `direction-${index}`;
  const what = words[`direction_${way}`] || name;
  const part = (value) =>
    posing.edit(() => {
      one[name] = value;
    });
  const angle = "back" in one ? "back" : "forward";
  const lean = (event) => {
    const degrees = Number(event.currentTarget.value);
    posing.edit(() => {
      one[angle] = degrees;
    });
  };
  const degrees = { id: `${id}-lean`, type: "range", min: 0, max: 90, step: 5, value: one[angle], oninput: lean };
  return line(
    posing,
    "directions",
    index,
    what,
    SEGMENTS.includes(name) ? chooser(`${id}-part`, what, one[name], all.parts, part) : "",
    name === "lean" ? make("input", { ...degrees, "aria-label": what }) : "",
    name === "lean" ? make("output", { htmlFor: `${id}-lean` }, `${one[angle]}°`) : "",
  );
}
