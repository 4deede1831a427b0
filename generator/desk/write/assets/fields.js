/* The fields of a form, built from what the models say of them. Each field writes into one tree of values. */
"use strict";
import { at, key, make, put, say } from "./ask.js";
import { captions, list, picks, texts } from "./field_lists.js";
import {
  band,
  choice,
  choices,
  count,
  day,
  duration,
  group,
  line,
  number,
  pick,
  repetitions,
  span,
  yes,
} from "./field_single.js";
import { local, suggested, text } from "./field_text.js";
import { markNote, note, underline } from "./notes.js";
import { redraw } from "./redraw.js";

/** How each kind of field is made: a function of the form, the field and its place, which gives its parts. */
const KINDS = {
  ...{ band, choice, choices, count, day, duration, group, line, number, pick, repetitions, span, yes },
  ...{ local, suggested, text },
  ...{ captions, list, picks, texts },
};
let ids = 0;
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

  /** The links to the sections of the form. */
  jumps(form) {
    const jump = (event, one) => {
      event.preventDefault();
      const head = document.getElementById(`part-${one.key}`);
      head.closest("section").querySelector("input, textarea, select, button")?.focus({ preventScroll: true });
      head.scrollIntoView();
    };
    return make(
      "nav",
      { className: "jump", "aria-label": say("parts") },
      make(
        "ul",
        {},
        ...form.map((one) =>
          make("li", {}, make("a", { href: `#part-${one.key}`, onclick: (event) => jump(event, one) }, one.label))
        ),
      ),
    );
  }

  field(field, above) {
    const loc = [...above, field.key];
    const made = (this.special[field.kind] || KINDS[field.kind] || text)(this, field, loc);
    const notes = make("div", { className: "notes-here", id: `notes-${made.id}` });
    const box = make("div", { className: `field is-${field.kind}`, "data-loc": key(loc) }, ...made.parts, notes);
    const optional = box.querySelector(":scope > .name > .optional, :scope > fieldset > .name > .optional");
    this.fields.set(key(loc), { box, notes, optional, input: made.input, field, loc });
    made.input?.setAttribute?.("aria-describedby", `help-${made.id} ${notes.id}`);
    return box;
  }

  id() {
    return `f${++ids}`;
  }

  label(field, id, tag = "label") {
    const required = field.required
      ? null
      : make("span", { className: "hint optional", hidden: true }, ` ${say("optional")}`);
    return make(
      tag,
      tag === "label" ? { htmlFor: id, className: "name" } : { className: "name" },
      field.label,
      required,
    );
  }

  help(field, id, loc) {
    const source = this.original ? at(this.original.value, loc) : undefined;
    return make(
      "div",
      { className: "help" },
      make(
        "p",
        { className: "hint", id: `help-${id}` },
        [field.help, this.facts?.[key(loc)]].filter(Boolean).join(" "),
      ),
      typeof source === "string" ? this.source(source, loc) : null,
    );
  }

  /** A line of the original above its translation, marked where it changed since. */
  source(text, loc) {
    const line = make("p", { className: "source", dir: "auto" }, text);
    if ((this.original.stale || []).some((one) => key(one) === key(loc))) {
      line.append(make("span", { className: "stale" }, ` ${say("stale")}`));
    }
    return line;
  }

  set(loc, given) {
    put(this.value, loc, given === "" ? undefined : given);
    this.changed(loc);
  }

  /** Put findings and marks beside their fields; what belongs to no field is given back. */
  tell(findings, marks, use) {
    const notes = new Map(), left = [];
    const tell = (loc, one) => {
      const place = this.nearest(loc);
      if (place) notes.set(place, [...(notes.get(place) || []), one]);
      return place;
    };
    for (const mark of marks) tell(mark.loc, markNote(mark, use));
    const marked = new Set(marks.map((one) => `${one.rule} ${key(one.loc)}`));
    const shown = findings.filter((one) => !one.drawn && !marked.has(`${one.code} ${key(one.loc)}`));
    for (const one of shown) if (!tell(one.loc, note(one.severity, one.message, one.hint))) left.push(one);
    const wrong = new Set(shown.filter((one) => one.severity === "error").map((one) => this.nearest(one.loc)));
    for (const place of this.fields.values()) {
      if (place.notes) redraw(place.notes, ...(notes.get(place) || []));
      if (place.optional) place.optional.hidden = notes.has(place);
      if (!place.input?.matches?.("textarea, input, select")) continue;
      if (wrong.has(place)) place.input.setAttribute("aria-invalid", "true");
      else place.input.removeAttribute("aria-invalid");
    }
    underline(marks);
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
