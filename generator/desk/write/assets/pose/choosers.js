/* Choosing for a figure: postures and things by their pictures, parts of the body by name under the limb they belong to. */
"use strict";
import { ask, button, dialog, make, say, up, words } from "../ask.js";

export const language = localStorage.getItem("limberleaf-language") || "en";
let choices = null;

/** What can be chosen: asked for once. */
export async function known() {
  choices ||= await ask("figure-words", { language });
  return choices;
}

/** What a part of the body or a place is called in the desk's language. */
export const called = (name) => choices?.called[name] ?? name;

/** What a handle is called: "affected hand". */
export const partName = (name) => name.split(" ").map((one) => words[`part_${one}`] || one).join(" ");

/** Write a value under a name, or take it out. */
export const set = (object, name, value) => {
  if (value === undefined) delete object[name];
  else object[name] = value;
};

/** A search over boxes that hold lines; says so when nothing is found. */
function search(id, boxes, line) {
  const find = make("input", { type: "search", id, autocomplete: "off" });
  const none = make("p", { className: "hint", role: "status" });
  find.addEventListener("input", () => {
    const sought = find.value.trim().toLowerCase();
    let found = 0;
    for (const box of boxes) {
      for (const one of box.querySelectorAll(line)) one.hidden = !one.textContent.toLowerCase().includes(sought);
      const here = box.querySelectorAll(`${line}:not([hidden])`).length;
      box.hidden = !here;
      found += here;
    }
    none.textContent = found ? "" : say("none_found");
  });
  return [make("p", {}, make("label", { htmlFor: id }, say("find")), " ", find), none];
}

/** A grid of pictures to choose one from: `list` holds name, label and picture of each. */
export function pictures(title, list, take) {
  const one = ([name, label, picture]) => {
    const choose = button("", () => {
      shell.close();
      take(name);
    }, { className: "picture", name });
    choose.append(make("img", { src: `${up}${picture}`, alt: "", loading: "lazy" }), make("span", {}, label));
    return make("li", {}, choose);
  };
  const grid = make("ul", { className: "pictures" }, ...list.map(one));
  const shell = dialog(title, ...search("find-picture", [grid], "li"), grid);
}

/** Names to choose from, under the limb they belong to, with a search: `rows` holds name and group of each. */
export function grouped(title, rows, now, take) {
  const groups = new Map();
  for (const [name, group] of rows) groups.set(group, [...(groups.get(group) || []), name]);
  const one = (name) =>
    button(called(name), () => {
      shell.close();
      take(name);
    }, { className: "small", "aria-pressed": String(name === now) });
  const boxes = [...groups].map(([group, names]) =>
    make(
      "section",
      {},
      make("h3", {}, say(`group_${group}`)),
      make("ul", { className: "names" }, ...names.map((name) => make("li", {}, one(name)))),
    )
  );
  const shell = dialog(title, ...search("find-part", boxes, "li"), ...boxes);
  shell.querySelector("input").focus();
}

/** A button that shows what is chosen and lets another name be chosen. */
export function chooser(id, label, now, rows, take) {
  return button(called(now), () => grouped(label, rows, now, take), {
    id,
    className: "small chooser",
    "aria-label": `${label}: ${called(now)}`,
  });
}

/** A list of choices with its label; `write` gets what is chosen, undefined for none. */
export function select(id, label, options, value, write, none = say("automatic")) {
  const input = make(
    "select",
    { id, onchange: (event) => write(event.currentTarget.value || undefined) },
    none ? make("option", { value: "" }, none) : "",
    ...options.map(([name, words]) => make("option", { value: name }, words)),
  );
  input.value = value ?? "";
  return make("p", { className: "tool" }, make("label", { htmlFor: id }, label), " ", input);
}

/** The field for the posture of an entry: its picture, and a button that shows all of them. */
export function postureField(entry) {
  return (form, field, loc, id) => {
    const shown = make("span", { className: "posture-shown" });
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
    const picker = make("div", { className: "picker" }, shown, choose);
    return { id, input: choose, parts: [form.label(field, id), form.help(field, id, loc), picker] };
  };
}
