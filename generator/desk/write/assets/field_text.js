/* Fields of a form in which text is written: areas that grow, the blanks a text may hold, lines to choose from. */
"use strict";
import { announce, at, button, key, make, say } from "./ask.js";
import { unpressed } from "./press.js";

/** Parts of an entry that no patient reads. */
const RECORD = new Set(["sources", "switched_off", "review", "synonyms", "translates", "retired_because"]);

export function text(form, field, loc, options = {}) {
  const id = form.id();
  const own = area(form, id, loc, (text) => form.set(loc, text), options);
  return { id, input: own.input, parts: [form.label(field, id), form.help(field, id, loc), own.box] };
}

/** A text area that grows with its text, on a copy of the text that carries the marks. */
export function area(form, id, loc, write, options = {}) {
  const under = make("div", { className: "under", "aria-hidden": "true" });
  const input = make("textarea", {
    id,
    rows: 1,
    dir: "auto",
    spellcheck: true,
    value: at(form.value, loc) ?? "",
    ...options,
  });
  const grow = () => {
    under.replaceChildren(`${input.value}\n`);
  };
  input.addEventListener("input", () => {
    grow();
    write(input.value.replace(/\s*\n\s*/g, " "));
  });
  input.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && !options.lines) event.preventDefault();
  });
  const box = make("div", { className: "area", "data-text": key(loc) }, under, input);
  input.addEventListener("change", () => squeeze(box, input));
  input.addEventListener("focus", () => offer(form, box, input, loc));
  grow();
  return { box, input, under };
}

/** Two spaces between words are one; a line below the field says so. */
async function squeeze(box, input) {
  await unpressed(); // a box is often left by pressing something else
  const text = input.value.replace(/(\S) {2,}(?=\S)/g, "$1 ");
  if (text === input.value) return;
  input.value = text;
  input.dispatchEvent(new Event("input"));
  const note = make("p", { className: "hint squeezed", role: "status" }, say("squeezed"));
  box.after(note);
  input.addEventListener("input", () => note.remove(), { once: true });
}

/** Show the blanks a text may hold below it while somebody writes in it. */
async function offer(form, box, input, loc) {
  if (!form.blanks?.length || loc.some((step) => RECORD.has(step))) return;
  await unpressed();
  if (document.activeElement !== input) return;
  form.tools?.remove();
  const put_in = (one) =>
    button("", () => {
      const end = input.selectionEnd, said = input.value.slice(end).trimStart().startsWith(one.after.trim());
      input.setRangeText(`{${one.name}}${said ? "" : one.after}`, input.selectionStart, end, "end");
      input.dispatchEvent(new Event("input"));
      input.focus();
      announce(say("becomes", { label: one.label, what: one.becomes }));
    }, { className: "blank", title: say("becomes", { label: one.label, what: one.becomes }) });
  const chip = (one) => {
    const made = put_in(one);
    made.append(one.label, make("span", { className: "becomes" }, ` ${one.becomes}`));
    return made;
  };
  const near = form.blanks.filter((one) => one.group !== "clinic" && !one.name.endsWith("_count")),
    rest = form.blanks.filter((one) => !near.includes(one));
  const tools = make(
    "div",
    { className: "blanks", role: "group", "aria-label": say("put_in") },
    make("span", { className: "hint" }, say("put_in")),
    ...near.map(chip),
    rest.length ? make("details", {}, make("summary", {}, say("put_in_more")), ...rest.map(chip)) : null,
  );
  const leave = () =>
    setTimeout(async () => {
      await unpressed();
      if (tools.contains(document.activeElement) || document.activeElement === input) return;
      tools.remove();
      input.removeEventListener("blur", leave);
    }, 200);
  input.addEventListener("blur", leave);
  tools.addEventListener("focusout", leave);
  form.tools = tools;
  box.after(tools);
}

/** A text with lines to choose from; “Other words” opens a box to write in. */
export function suggested(form, field, loc) {
  const lines = form.lines?.[field.key] || [];
  if (!lines.length) return text(form, field, loc);
  const id = form.id(), now = at(form.value, loc) ?? "";
  const own = area(form, `${id}-own`, loc, (text) => form.set(loc, text), {
    "aria-label": `${field.label}: ${say("own_words")}`,
  });
  const select = make(
    "select",
    { id },
    make("option", { value: "" }, "–"),
    ...lines.map((line) => make("option", { value: line }, line.replace(/[{}]/g, ""))),
    make("option", { value: "own" }, say("own_words")),
  );
  select.value = !now ? "" : lines.includes(now) ? now : "own";
  own.box.hidden = select.value !== "own";
  select.addEventListener("change", () => {
    own.box.hidden = select.value !== "own";
    if (select.value === "own") {
      own.input.focus();
      return;
    }
    own.input.value = select.value;
    own.input.dispatchEvent(new Event("input"));
  });
  return {
    id,
    input: select,
    parts: [form.label(field, id), form.help(field, id, loc), make("div", { className: "picker" }, select), own.box],
  };
}

export function local(form, field, loc) {
  const id = form.id(), value = at(form.value, loc);
  const languages = typeof value === "object" && value ? Object.keys(value) : [];
  if (!languages.length) return text(form, field, loc);
  const rows = languages.map((language) => {
    const name = `${id}-${language}`,
      own = area(form, name, [...loc, language], (text) => form.set([...loc, language], text), { lang: language });
    form.fields.set(key([...loc, language]), {
      box: own.box,
      notes: null,
      input: own.input,
      field,
      loc: [...loc, language],
    });
    return make("div", { className: "local-row" }, make("label", { htmlFor: name }, language), own.box);
  });
  return {
    id,
    input: null,
    parts: [make("fieldset", { id }, form.label(field, id, "legend"), form.help(field, id, loc), ...rows)],
  };
}
