/* The fields of a form, built from what the models say of them. Each field writes into one tree of values. */
"use strict";
import { announce, at, button, key, make, put, say } from "./ask.js";

let number = 0;
/** Parts of an entry that no patient reads. */
const RECORD = new Set(["sources", "switched_off", "review", "synonyms", "translates", "retired_because"]);

/** A form over `value`; `changed(loc)` is called after each change, `special` makes fields of kinds that live elsewhere. */
export class Form {
  value;
  known;
  changed;
  special;
  original;
  facts;
  blanks;
  lines;

  constructor(value, picks, changed, special = {}, original = null) {
    Object.assign(this, { value, known: picks, changed, special, original });
    this.fields = new Map();
    this.boxes = new Map();
  }

  /** Build all sections and give them as elements. */
  sections(form) {
    return form.map((section) => {
      const fields = section.fields.filter((one) => !one.fixed);
      const head = make("h2", { id: `part-${section.key}` }, section.label);
      const box = make(
        "section",
        { className: "part", "aria-labelledby": head.id },
        head,
        ...fields.map((field) => this.field(field, [])),
      );
      this.boxes.set(section.key, box);
      return box;
    });
  }

  field(field, above) {
    const loc = [...above, field.key];
    const made = (this.special[field.kind] || this[field.kind] || this.text).call(this, field, loc);
    const notes = make("div", { className: "notes-here", id: `notes-${made.id}` });
    const box = make("div", { className: `field is-${field.kind}`, "data-loc": key(loc) }, ...made.parts, notes);
    this.fields.set(key(loc), { box, notes, input: made.input, field, loc });
    made.input?.setAttribute?.("aria-describedby", `help-${made.id} ${notes.id}`);
    return box;
  }

  id() {
    return `f${++number}`;
  }

  label(field, id, tag = "label") {
    const required = field.required ? null : make("span", { className: "hint" }, ` ${say("optional")}`);
    return make(
      tag,
      tag === "label" ? { htmlFor: id, className: "name" } : { className: "name" },
      field.label,
      required,
    );
  }

  help(field, id, loc) {
    const source = this.original ? at(this.original.value, loc) : undefined;
    const stale = (this.original?.stale || []).some((one) =>
      key(one) === key(loc) || key(one).startsWith(`${key(loc)}/`)
    );
    return make(
      "div",
      { className: "help" },
      make(
        "p",
        { className: "hint", id: `help-${id}` },
        [field.help, this.facts?.[key(loc)]].filter(Boolean).join(" "),
      ),
      typeof source === "string" ? make("p", { className: "source", dir: "auto" }, source) : null,
      stale ? make("p", { className: "stale" }, say("stale")) : null,
    );
  }

  set(loc, given) {
    put(this.value, loc, given === "" ? undefined : given);
    this.changed(loc);
  }

  // --- single values ---------------------------------------------------------------------------------------------

  text(field, loc, options = {}) {
    const id = this.id();
    const area = this.area(id, loc, (text) => this.set(loc, text), options);
    return { id, input: area.input, parts: [this.label(field, id), this.help(field, id, loc), area.box] };
  }

  /** A text area that grows with its text, on a copy of the text that carries the marks. */
  area(id, loc, write, options = {}) {
    const under = make("div", { className: "under", "aria-hidden": "true" });
    const input = make("textarea", {
      id,
      rows: 1,
      dir: "auto",
      spellcheck: true,
      value: at(this.value, loc) ?? "",
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
    input.addEventListener("change", () => this.squeeze(box, input));
    input.addEventListener("focus", () => this.offer(box, input, loc));
    grow();
    return { box, input, under };
  }

  /** Two spaces between words are one; a line below the field says so. */
  squeeze(box, input) {
    const text = input.value.replace(/(\S) {2,}(?=\S)/g, "$1 ");
    if (text === input.value) return;
    input.value = text;
    input.dispatchEvent(new Event("input"));
    const note = make("p", { className: "hint squeezed", role: "status" }, say("squeezed"));
    box.after(note);
    input.addEventListener("input", () => note.remove(), { once: true });
  }

  /** Show the blanks a text may hold below it while somebody writes in it. */
  offer(box, input, loc) {
    if (!this.blanks?.length || loc.some((step) => RECORD.has(step))) return;
    this.tools?.remove();
    const put_in = (one) =>
      button("", () => {
        input.setRangeText(`{${one.name}}`, input.selectionStart, input.selectionEnd, "end");
        input.dispatchEvent(new Event("input"));
        input.focus();
        announce(say("becomes", { label: one.label, what: one.becomes }));
      }, { className: "blank", title: say("becomes", { label: one.label, what: one.becomes }) });
    const chip = (one) => {
      const made = put_in(one);
      made.append(one.label, make("span", { className: "becomes" }, ` ${one.becomes}`));
      return made;
    };
    const near = this.blanks.filter((one) => one.group !== "clinic" && !one.name.endsWith("_count")),
      rest = this.blanks.filter((one) => !near.includes(one));
    const tools = make(
      "div",
      { className: "blanks", role: "group", "aria-label": say("put_in") },
      make("span", { className: "hint" }, say("put_in")),
      ...near.map(chip),
      rest.length ? make("details", {}, make("summary", {}, say("put_in_more")), ...rest.map(chip)) : null,
    );
    const leave = () =>
      setTimeout(() => {
        if (tools.contains(document.activeElement) || document.activeElement === input) return;
        tools.remove();
        input.removeEventListener("blur", leave);
      }, 200);
    input.addEventListener("blur", leave);
    tools.addEventListener("focusout", leave);
    this.tools = tools;
    box.after(tools);
  }

  /** A text with lines to choose from; “Other words” opens a box to write in. */
  suggested(field, loc) {
    const lines = this.lines?.[field.key] || [];
    if (!lines.length) return this.text(field, loc);
    const id = this.id(), now = at(this.value, loc) ?? "";
    const area = this.area(`${id}-own`, loc, (text) => this.set(loc, text), {
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
    area.box.hidden = select.value !== "own";
    select.addEventListener("change", () => {
      area.box.hidden = select.value !== "own";
      if (select.value === "own") {
        area.input.focus();
        return;
      }
      area.input.value = select.value;
      area.input.dispatchEvent(new Event("input"));
    });
    return {
      id,
      input: select,
      parts: [this.label(field, id), this.help(field, id, loc), make("div", { className: "picker" }, select), area.box],
    };
  }

  line(field, loc, options = {}) {
    const id = this.id();
    const input = make("input", {
      id,
      type: "text",
      value: at(this.value, loc) ?? "",
      autocomplete: "off",
      ...options,
      oninput: () => this.set(loc, input.value.trim()),
    });
    return { id, input, parts: [this.label(field, id), this.help(field, id, loc), input] };
  }

  count(field, loc) {
    return this.line(field, loc, { className: "short" });
  }
  duration(field, loc) {
    return this.line(field, loc, { className: "short", placeholder: "30 s" });
  }
  span(field, loc) {
    return this.line(field, loc, { className: "short", placeholder: "2 years" });
  }
  band(field, loc) {
    return this.line(field, loc, { className: "short", placeholder: "0-3" });
  }
  number(field, loc) {
    return this.line(field, loc, { className: "short", inputMode: "numeric" });
  }
  day(field, loc) {
    return this.line(field, loc, { className: "short", type: "date" });
  }

  repetitions(field, loc) {
    const id = this.id(), ceiling = () => at(this.value, [...loc, "up_to"]);
    const input = make("input", {
      id,
      type: "text",
      className: "short",
      placeholder: "8-12",
      autocomplete: "off",
      value: typeof at(this.value, loc) === "object" ? ceiling() ?? "" : at(this.value, loc) ?? "",
    });
    const box = make("input", { id: `${id}-c`, type: "checkbox", checked: typeof at(this.value, loc) === "object" });
    const write = () =>
      this.set(
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
        this.label(field, id),
        this.help(field, id, loc),
        input,
        make("p", { className: "tick-line" }, box, make("label", { htmlFor: box.id }, ` ${say("as_comfortable")}`)),
      ],
    };
  }

  yes(field, loc) {
    const id = this.id();
    const input = make("input", {
      id,
      type: "checkbox",
      checked: at(this.value, loc) === true,
      onchange: () =>
        this.set(
          loc,
          input.checked ? true : field.default === false || field.default === undefined ? undefined : false,
        ),
    });
    return {
      id,
      input,
      parts: [
        make("p", { className: "tick-line" }, input, make("label", { htmlFor: id }, ` ${field.label}`)),
        this.help(field, id, loc),
      ],
    };
  }

  choice(field, loc) {
    const id = this.id();
    const input = make(
      "select",
      { id, onchange: () => this.set(loc, input.value) },
      make("option", { value: "" }, field.default ? "–" : say("choose")),
      ...field.options.map(([value, label]) => make("option", { value }, label)),
    );
    input.value = at(this.value, loc) ?? "";
    return { id, input, parts: [this.label(field, id), this.help(field, id, loc), input] };
  }

  choices(field, loc) {
    const id = this.id();
    const ticks = field.options.map(([value, label], index) => {
      const input = make("input", {
        type: "checkbox",
        id: `${id}-${index}`,
        value,
        checked: (at(this.value, loc) || []).includes(value),
        onchange: write,
      });
      return make("p", { className: "tick-line" }, input, make("label", { htmlFor: input.id }, ` ${label}`));
    });
    const box = make(
      "fieldset",
      { id },
      this.label(field, id, "legend"),
      this.help(field, id, loc),
      make("div", { className: "ticks-here" }, ...ticks),
    );
    const form = this;
    function write() {
      const chosen = [...box.querySelectorAll("input:checked")].map((one) => one.value);
      form.set(loc, chosen.length ? chosen : undefined);
    }
    return { id, input: box, parts: [box] };
  }

  /** A field that picks one of the library's own things: its title is shown while one types its code. */
  pick(field, loc) {
    const id = this.id();
    if (field.pick === "posture" && this.special.posture) return this.special.posture.call(this, field, loc, id);
    const input = this.picker(id, field.pick, at(this.value, loc) ?? "", (value) => this.set(loc, value));
    return {
      id,
      input: input.querySelector("input, select"),
      parts: [this.label(field, id), this.help(field, id, loc), input],
    };
  }

  picker(id, kind, value, write) {
    const options = this.known[kind] || [];
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

  local(field, loc) {
    const id = this.id(), value = at(this.value, loc);
    const languages = typeof value === "object" && value ? Object.keys(value) : [];
    if (!languages.length) return this.text(field, loc);
    const rows = languages.map((language) => {
      const own = `${id}-${language}`,
        area = this.area(own, [...loc, language], (text) => this.set([...loc, language], text), { lang: language });
      this.fields.set(key([...loc, language]), {
        box: area.box,
        notes: null,
        input: area.input,
        field,
        loc: [...loc, language],
      });
      return make("div", { className: "local-row" }, make("label", { htmlFor: own }, language), area.box);
    });
    return {
      id,
      input: null,
      parts: [make("fieldset", { id }, this.label(field, id, "legend"), this.help(field, id, loc), ...rows)],
    };
  }

  group(field, loc) {
    const id = this.id(), there = at(this.value, loc) !== undefined;
    const inside = make("div", { className: "group-fields" });
    const fill = () =>
      inside.replaceChildren(...field.fields.filter((one) => !one.fixed).map((one) => this.field(one, loc)));
    const box = make("fieldset", { id }, this.label(field, id, "legend"), this.help(field, id, loc), inside);
    if (there || field.required) fill();
    else {inside.append(button(say("add_this", { what: field.label.toLowerCase() }), () => {
        fill();
        inside.querySelector("input, textarea, select")?.focus();
      }, { className: "small" }));}
    return { id, input: box, parts: [box] };
  }

  // --- lists -----------------------------------------------------------------------------------------------------

  texts(field, loc) {
    return this.rows(field, loc, "", (index, id) =>
      this.area(id, [...loc, index], (text) => {
        put(this.value, [...loc, index], text);
        this.changed([...loc, index]);
      }).box);
  }

  picks(field, loc) {
    return this.rows(
      field,
      loc,
      "",
      (index, id) =>
        this.picker(id, field.pick, at(this.value, [...loc, index]) ?? "", (value) => {
          put(this.value, [...loc, index], value);
          this.changed(loc);
        }),
    );
  }

  list(field, loc) {
    return this.rows(
      field,
      loc,
      {},
      (index) =>
        make(
          "div",
          { className: "group-fields" },
          ...field.fields.filter((one) => !one.fixed).map((one) => this.field(one, [...loc, index])),
        ),
    );
  }

  /** Lines that grow and change places by keyboard: Enter adds one, Alt and an arrow moves it, Backspace in an empty one takes it out. */
  rows(field, loc, empty, inside) {
    const id = this.id(), list = make("ol", { className: "rows" });
    const items = () => at(this.value, loc) || [];
    const whole = typeof empty === "object";
    const draw = (focus) => {
      for (const name of [...this.fields.keys()]) if (name.startsWith(`${key(loc)}/`)) this.fields.delete(name);
      list.replaceChildren(...items().map((_, index) => row(index)));
      if (focus !== undefined) list.children[focus]?.querySelector("textarea, input, select")?.focus();
      if (!items().length) box.querySelector(".add")?.focus?.();
    };
    const act = (name, change, focus) => {
      change();
      if (!items().length) put(this.value, loc, undefined);
      draw(focus);
      this.changed(loc);
      announce(name);
    };
    const move = (index, to) => {
      if (to < 0 || to >= items().length) return;
      act(say("moved", { to: to + 1 }), () => {
        const [one] = items().splice(index, 1);
        items().splice(to, 0, one);
      }, to);
    };
    const add = (index) =>
      act(say("added", { to: index + 1 }), () => {
        if (!at(this.value, loc)) put(this.value, loc, []);
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
      const source = this.original ? at(this.original.value, [...loc, index]) : undefined;
      const line = make(
        "li",
        { "data-loc": key([...loc, index]) },
        typeof source === "string" ? make("p", { className: "source", dir: "auto" }, source) : null,
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
            disabled: index === items().length - 1,
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
      this.fields.set(key([...loc, index]), { box: line, notes, input, field, loc: [...loc, index] });
      return line;
    };
    const box = make(
      "fieldset",
      { id },
      this.label(field, id, "legend"),
      this.help(field, id, loc),
      list,
      button(say("add_line", { what: (field.item || field.label).toLowerCase() }), () => add(items().length), {
        className: "small add",
      }),
    );
    draw();
    return { id, input: box, parts: [box] };
  }

  captions(field, loc) {
    return this.texts({ ...field, item: say("caption") }, [...loc, "captions"]);
  }

  // --- what the desk says ----------------------------------------------------------------------------------------

  /** Put findings and marks beside their fields; what belongs to no field is given back. */
  tell(findings, marks, use) {
    for (const one of this.fields.values()) {
      one.notes?.replaceChildren();
      if (one.input?.matches?.("textarea, input, select")) one.input.removeAttribute("aria-invalid");
    }
    for (const under of document.querySelectorAll(".area .under")) {
      under.replaceChildren(`${under.parentElement.querySelector("textarea").value}\n`);
    }
    const byText = new Map();
    for (const mark of marks) byText.set(key(mark.loc), [...(byText.get(key(mark.loc)) || []), mark]);
    for (const [name, own] of byText) {
      const area = document.querySelector(`.area[data-text="${CSS.escape(name)}"]`);
      if (!area) continue;
      const text = area.querySelector("textarea").value,
        wide = own.filter((one) => one.end - one.start > 0).sort((a, b) => a.start - b.start);
      let done = 0;
      const pieces = [];
      for (const mark of wide) {
        if (mark.start < done) continue;
        pieces.push(
          text.slice(done, mark.start),
          make("mark", { className: `is-${mark.level}` }, text.slice(mark.start, mark.end)),
        );
        done = mark.end;
      }
      area.querySelector(".under").replaceChildren(...pieces, `${text.slice(done)}\n`);
      const place = this.nearest(own[0].loc);
      for (const mark of own) {
        place?.notes?.append(
          note(
            mark.level,
            `${mark.message}`,
            mark.replacement ? "" : mark.suggestion,
            mark.replacement
              ? button(say("use", { word: mark.replacement }), () => use(mark), { className: "small" })
              : null,
          ),
        );
      }
    }
    const left = [];
    const marked = new Set(marks.map((one) => `${one.rule} ${key(one.loc)}`));
    for (const one of findings) {
      if (marked.has(`${one.code} ${key(one.loc)}`)) continue;
      if (one.drawn) continue;
      const place = this.nearest(one.loc);
      if (!place?.notes) {
        left.push(one);
        continue;
      }
      place.notes.append(note(one.severity, one.message, one.hint));
      if (one.severity === "error" && place.input?.matches?.("textarea, input, select")) {
        place.input.setAttribute("aria-invalid", "true");
      }
    }
    return left;
  }

  nearest(loc) {
    for (let length = loc.length; length; length--) {
      const found = this.fields.get(key(loc.slice(0, length)));
      if (found?.notes) return found;
    }
    return null;
  }
}

/** The name of a level, in words. */
export const level = (name) => say(`level_${name}`);

function note(severity, message, hint, more = null) {
  return make(
    "p",
    { className: `note-here is-${severity}` },
    make("span", { className: `sev is-${severity}` }, level(severity)),
    ` ${message} `,
    hint ? make("span", { className: "hint" }, hint) : null,
    more ? " " : null,
    more,
  );
}
export { note };
