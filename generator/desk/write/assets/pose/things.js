/* The things of a figure, and where each stands: behind, beside, under, held by, fixed to. */
"use strict";
import { button, make, say, words } from "../ask.js";
import { chooser, pictures, set } from "./choosers.js";

/** The list of things, each with what is said of its place and a way to say more. */
export function things(posing, all) {
  const spec = posing.spec, list = spec.props || [];
  const add = () =>
    pictures(say("things"), all.props, (name) =>
      posing.edit(() => {
        spec.props = [...(spec.props || []), { kind: name }];
      }));
  return make(
    "div",
    { id: "pose-things", className: "tool" },
    make("span", { className: "name" }, say("things")),
    make("ul", { className: "things" }, ...list.map((one, index) => thing(posing, all, one, index))),
    button(say("add_thing"), add, { id: "add-thing", className: "small" }),
  );
}

function thing(posing, all, one, index) {
  const [, label, , ways] = all.props.find(([name]) => name === one.kind) || [one.kind, one.kind, "", []];
  const remove = () =>
    posing.edit((spec) => {
      spec.props.splice(index, 1);
      if (!spec.props.length) delete spec.props;
    });
  const said = Object.keys(all.thing_places).filter((way) => one[way] !== undefined);
  const left = ways.filter((way) => one[way] === undefined);
  const id = `thing-${index}-more`;
  const more = make(
    "select",
    {
      id,
      onchange: (event) => {
        const way = event.currentTarget.value;
        posing.edit(() => {
          one[way] = all.thing_places[way][0];
        });
        event.currentTarget.value = "";
      },
    },
    make("option", { value: "" }, say(said.length ? "thing_more" : "thing_anywhere")),
    ...left.map((way) => make("option", { value: way }, words[`thing_${way}`])),
  );
  const line = make(
    "li",
    { className: "thing" },
    make(
      "div",
      { className: "thing-head" },
      make("b", {}, label),
      make("label", { className: "hide", htmlFor: id }, `${say("thing_place")}: ${label}`),
      left.length ? more : "",
      button("×", remove, { className: "icon", "aria-label": `${say("remove")}: ${label}` }),
    ),
    ...said.map((way) => place(posing, all, one, index, way, label)),
  );
  line.dataset.key = `${index} ${one.kind}`;
  return line;
}

/** One line of where a thing is: the way, what it is said of, and a button that takes the line away. */
function place(posing, all, one, index, way, label) {
  const id = `thing-${index}-${way}`, name = `${label}: ${words[`thing_${way}`]}`;
  const write = (value) => posing.edit(() => set(one, way, value));
  const [, ...choices] = all.thing_places[way];
  const rows = [...choices.map((choice) => [choice, "things"]), ...all.parts];
  const value = all.thing_options[way]
    ? make(
      "select",
      { id, "aria-label": name, onchange: (event) => write(event.currentTarget.value) },
      ...all.thing_options[way].map(([option, said]) =>
        make("option", { value: option, selected: option === one[way] }, said)
      ),
    )
    : chooser(id, name, one[way], rows, write);
  return make(
    "div",
    { className: "thing-place", id: `${id}-line` },
    make("span", {}, words[`thing_${way}`]),
    value,
    button("×", () => write(undefined), { className: "icon", "aria-label": `${say("remove")}: ${name}` }),
  );
}
