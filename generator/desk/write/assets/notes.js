/* What the desk says beside a field: findings, marks on words with the easier ones, and the words underlined. */
"use strict";
import { button, key, make, say } from "./ask.js";

/** The name of a level, in words. */
export const level = (name) => say(`level_${name}`);

/** A line beside a field. It is known by its words, so that a look which says the same again leaves it where it is. */
export function note(severity, message, hint, buttons = []) {
  const line = make(
    "p",
    { className: `note-here is-${severity}` },
    make("span", { className: `sev is-${severity}` }, level(severity)),
    ` ${message} `,
    hint ? make("span", { className: "hint" }, hint) : null,
    ...buttons.flatMap((one) => [" ", one]),
  );
  line.dataset.key = `${severity} ${message}`;
  return line;
}

/** A mark on words as a line, with the easier word as a button. */
export function markNote(mark, use) {
  const easier = mark.replacement
    ? [button(say("use", { word: mark.replacement }), () => use(mark), { className: "small" })]
    : [];
  return note(mark.level, mark.message, easier.length ? "" : mark.suggestion, easier);
}

/** Underline the marked words in all text areas of the page. */
export function underline(marks) {
  for (const area of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(".area"))) {
    const text = area.querySelector("textarea").value,
      own = marks.filter((one) => key(one.loc) === area.dataset.text && one.end > one.start);
    let done = 0;
    const pieces = [];
    for (const mark of own.sort((a, b) => a.start - b.start)) {
      if (mark.start < done) continue;
      pieces.push(
        text.slice(done, mark.start),
        make("mark", { className: `is-${mark.level}` }, text.slice(mark.start, mark.end)),
      );
      done = mark.end;
    }
    area.querySelector(".under").replaceChildren(...pieces, `${text.slice(done)}\n`);
  }
}
