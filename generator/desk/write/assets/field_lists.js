/* Fields of a form that are lists: lines that grow and change places by keyboard. */
"use strict";
import { announce, at, button, key, make, put, say } from "./ask.js";
import { area } from "./field_text.js";
import { picker } from "./field_single.js";

export function texts(form, field, loc) {
  return rows(form, field, loc, "", (index, id) =>
    area(form, id, [...loc, index], (text) => {
      put(form.value, [...loc, index], text);
      form.changed([...loc, index]);
    }).box);
}

export function picks(form, field, loc) {
  return rows(
    form,
    field,
    loc,
    "",
    (index, id) =>
      picker(form, id, field.pick, at(form.value, [...loc, index]) ?? "", (value) => {
        put(form.value, [...loc, index], value);
        form.changed(loc);
      }),
  );
}

export function list(form, field, loc) {
  return rows(form, field, loc, {}, (index) =>
    make(
      "div",
      { className: "group-fields" },
      ...field.fields.filter((one) => !one.fixed).map((one) => form.field(one, [...loc, index])),
    ));
}

/** Lines that grow and change places by keyboard: Enter adds one, Alt and an arrow moves it, Backspace in an empty one takes it out. */
function rows(form, field, loc, empty, inside) {
  const id = form.id(), list = make("ol", { className: "rows" });
  const items = () => at(form.value, loc) || [];
  const whole = typeof empty === "object", source = form.original ? at(form.original.value, loc) : null;
  /** A translation has a line for each of its original, written or not. */
  const count = () => Math.max(items().length, Array.isArray(source) ? source.length : 0);
  const draw = (focus) => {
    for (const name of [...form.fields.keys()]) if (name.startsWith(`${key(loc)}/`)) form.fields.delete(name);
    list.replaceChildren(...Array.from({ length: count() }, (_, index) => row(index)));
    if (focus !== undefined) list.children[focus]?.querySelector("textarea, input, select")?.focus();
    if (!count()) box.querySelector(".add")?.focus?.();
  };
  const act = (name, change, focus) => {
    while (items().length < count()) put(form.value, [...loc, items().length], whole ? {} : empty);
    change();
    if (!items().length) put(form.value, loc, undefined);
    draw(focus);
    form.changed(loc);
    announce(name);
  };
  const move = (index, to) => {
    if (to < 0 || to >= count()) return;
    act(say("moved", { to: to + 1 }), () => {
      const [one] = items().splice(index, 1);
      items().splice(to, 0, one);
    }, to);
  };
  const add = (index) =>
    act(say("added", { to: index + 1 }), () => {
      if (!at(form.value, loc)) put(form.value, loc, []);
      items().splice(index, 0, whole ? {} : empty);
    }, index);
  const remove = (index) => act(say("removed"), () => items().splice(index, 1), Math.max(0, index - 1));
  const row = (index) => {
    const own = `${id}-${index}`, what = `${field.item || field.label} ${index + 1}`;
    const notes = make("div", { className: "notes-here", id: `notes-${own}` });
    const body = inside(index, own);
    const input = body.querySelector("textarea, input, select");
    if (!whole && input) {
      input.setAttribute("aria-label", what);
      input.setAttribute("aria-describedby", notes.id);
    }
    const line = make(
      "li",
      { "data-loc": key([...loc, index]) },
      typeof source?.[index] === "string" ? form.source(source[index], [...loc, index]) : null,
      make("div", { className: "row-body" }, body),
      make(
        "div",
        { className: "row-tools", role: "group", "aria-label": what },
        button("↑", () => move(index, index - 1), {
          className: "icon",
          title: say("up"),
          "aria-label": `${say("up")}: ${what}`,
          disabled: index === 0,
        }),
        button("↓", () => move(index, index + 1), {
          className: "icon",
          title: say("down"),
          "aria-label": `${say("down")}: ${what}`,
          disabled: index === count() - 1,
        }),
        button("×", () => remove(index), {
          className: "icon",
          title: say("remove"),
          "aria-label": `${say("remove")}: ${what}`,
        }),
      ),
      notes,
    );
    line.addEventListener("keydown", (event) => {
      if (event.altKey && (event.key === "ArrowUp" || event.key === "ArrowDown")) {
        event.preventDefault();
        event.stopPropagation();
        move(index, index + (event.key === "ArrowUp" ? -1 : 1));
      } else if (!whole && event.target === input && event.key === "Enter" && !event.isComposing) {
        event.preventDefault();
        add(index + 1);
      } else if (!whole && event.target === input && event.key === "Backspace" && !input.value) {
        event.preventDefault();
        remove(index);
      }
    });
    form.fields.set(key([...loc, index]), { box: line, notes, input, field, loc: [...loc, index] });
    return line;
  };
  const box = make(
    "fieldset",
    { id },
    form.label(field, id, "legend"),
    form.help(field, id, loc),
    list,
    button(say("add_line", { what: (field.item || field.label).toLowerCase() }), () => add(count()), {
      className: "small add",
    }),
  );
  draw();
  return { id, input: box, parts: [box] };
}

export function captions(form, field, loc) {
  return texts(form, { ...field, item: say("caption") }, [...loc, "captions"]);
}
