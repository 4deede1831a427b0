/* Fields of a form that hold one value: numbers, times, ticks, choices, one of the library’s own things. */
"use strict";
import { at, button, make, say } from "./ask.js";

export function line(form, field, loc, options = {}) {
  const id = form.id();
  const input = make("input", {
    id,
    type: "text",
    value: at(form.value, loc) ?? "",
    autocomplete: "off",
    ...options,
    oninput: () => form.set(loc, input.value.trim()),
  });
  return { id, input, parts: [form.label(field, id), form.help(field, id, loc), input] };
}

export function count(form, field, loc) {
  return line(form, field, loc, { className: "short" });
}
export function duration(form, field, loc) {
  return line(form, field, loc, { className: "short", placeholder: "30 s" });
}
export function span(form, field, loc) {
  return line(form, field, loc, { className: "short", placeholder: "2 years" });
}
export function band(form, field, loc) {
  return line(form, field, loc, { className: "short", placeholder: "0-3" });
}
export function number(form, field, loc) {
  return line(form, field, loc, { className: "short", inputMode: "numeric" });
}
export function day(form, field, loc) {
  return line(form, field, loc, { className: "short", type: "date" });
}

export function repetitions(form, field, loc) {
  const id = form.id(), ceiling = () => at(form.value, [...loc, "up_to"]);
  const input = make("input", {
    id,
    type: "text",
    className: "short",
    placeholder: "8-12",
    autocomplete: "off",
    value: typeof at(form.value, loc) === "object" ? ceiling() ?? "" : at(form.value, loc) ?? "",
  });
  const box = make("input", { id: `${id}-c`, type: "checkbox", checked: typeof at(form.value, loc) === "object" });
  const write = () =>
    form.set(
      loc,
      !input.value.trim()
        ? undefined
        : box.checked
        ? { as_many_as_comfortable: true, up_to: input.value.trim() }
        : input.value.trim(),
    );
  input.addEventListener("input", write);
  box.addEventListener("change", write);
  return {
    id,
    input,
    parts: [
      form.label(field, id),
      form.help(field, id, loc),
      input,
      make("p", { className: "tick-line" }, box, make("label", { htmlFor: box.id }, ` ${say("as_comfortable")}`)),
    ],
  };
}

export function yes(form, field, loc) {
  const id = form.id();
  const input = make("input", {
    id,
    type: "checkbox",
    checked: at(form.value, loc) === true,
    onchange: () =>
      form.set(
        loc,
        input.checked ? true : field.default === false || field.default === undefined ? undefined : false,
      ),
  });
  return {
    id,
    input,
    parts: [
      make("p", { className: "tick-line" }, input, make("label", { htmlFor: id }, ` ${field.label}`)),
      form.help(field, id, loc),
    ],
  };
}

export function choice(form, field, loc) {
  const id = form.id();
  const input = make(
    "select",
    { id, onchange: () => form.set(loc, input.value) },
    make("option", { value: "" }, field.default ? "–" : say("choose")),
    ...field.options.map(([value, label]) => make("option", { value }, label)),
  );
  input.value = at(form.value, loc) ?? "";
  return { id, input, parts: [form.label(field, id), form.help(field, id, loc), input] };
}

export function choices(form, field, loc) {
  const id = form.id();
  const ticks = field.options.map(([value, label], index) => {
    const input = make("input", {
      type: "checkbox",
      id: `${id}-${index}`,
      value,
      checked: (at(form.value, loc) || []).includes(value),
      onchange: write,
    });
    return make("p", { className: "tick-line" }, input, make("label", { htmlFor: input.id }, ` ${label}`));
  });
  const box = make(
    "fieldset",
    { id },
    form.label(field, id, "legend"),
    form.help(field, id, loc),
    make("div", { className: "ticks-here" }, ...ticks),
  );
  function write() {
    const chosen = [...box.querySelectorAll("input:checked")].map((one) => one.value);
    form.set(loc, chosen.length ? chosen : undefined);
  }
  return { id, input: box, parts: [box] };
}

/** A field that picks one of the library's own things: its title is shown while one types its code. */
export function pick(form, field, loc) {
  const id = form.id();
  if (field.pick === "posture" && form.special.posture) return form.special.posture(form, field, loc, id);
  const input = picker(form, id, field.pick, at(form.value, loc) ?? "", (value) => form.set(loc, value));
  return {
    id,
    input: input.querySelector("input, select"),
    parts: [form.label(field, id), form.help(field, id, loc), input],
  };
}

export function picker(form, id, kind, value, write) {
  const options = form.known[kind] || [];
  const few = kind === "equipment" || kind === "posture";
  if (few) {
    const input = make(
      "select",
      { id, onchange: () => write(input.value) },
      make("option", { value: "" }, say("choose")),
      ...options.map(([name, label]) => make("option", { value: name }, label)),
    );
    if (value && !options.some(([name]) => name === value)) input.append(make("option", { value }, value));
    input.value = value;
    return make("div", { className: "picker" }, input);
  }
  const list = make(
    "datalist",
    { id: `${id}-list` },
    ...options.map(([name, label]) => make("option", { value: name, label: `${name} – ${label}` }, label)),
  );
  const meaning = make("span", { className: "hint picked" });
  const input = make("input", {
    id,
    type: "text",
    list: list.id,
    value,
    autocomplete: "off",
    oninput: () => {
      tell();
      write(input.value.trim());
    },
  });
  const tell = () => {
    meaning.textContent = (options.find(([name]) => name === input.value.trim()) || [])[1] || "";
  };
  tell();
  return make("div", { className: "picker" }, input, list, meaning);
}

export function group(form, field, loc) {
  const id = form.id(),
    there = at(form.value, loc) !== undefined || form.original && at(form.original.value, loc) !== undefined;
  const inside = make("div", { className: "group-fields" });
  const fill = () =>
    inside.replaceChildren(...field.fields.filter((one) => !one.fixed).map((one) => form.field(one, loc)));
  const box = make("fieldset", { id }, form.label(field, id, "legend"), form.help(field, id, loc), inside);
  if (there || field.required) fill();
  else {
    const open = () => {
      fill();
      inside.querySelector("input, textarea, select")?.focus();
    };
    inside.append(button(say("add_this", { what: field.label.toLowerCase() }), open, { className: "small" }));
  }
  return { id, input: box, parts: [box] };
}
