/* What is open: one list with all findings on the entry, counted in the bar; each line leads to its field. */
"use strict";
import { button, key, make, say } from "./ask.js";
import { level } from "./notes.js";
import { redraw } from "./redraw.js";

const LEVELS = ["error", "warning", "note"];

/** Findings and marks as one list, the gravest first; where both mark the same words, one line is enough. */
export function everything(state) {
  const marks = state.marks.map((one) => ({ ...one, severity: one.level, code: one.rule, hint: one.suggestion }));
  const seen = new Set(marks.map((one) => `${one.code} ${key(one.loc)}`));
  const all = [...state.findings.filter((one) => !seen.has(`${one.code} ${key(one.loc)}`)), ...marks];
  return LEVELS.flatMap((name) => all.filter((one) => one.severity === name));
}

/** The counts in words: "2 to fix · 1 to look at"; or that nothing is open. */
export function counted(all) {
  const counts = LEVELS.map((name) => [name, all.filter((one) => one.severity === name).length]).filter(([, count]) =>
    count
  );
  return counts.length ? counts.map(([name, count]) => say(`count_${name}`, { count })).join(" · ") : say("open_none");
}

/** The lines, each a button that leads to its field by `go(loc)`. */
export function lines(all, go) {
  return make(
    "ul",
    { className: "open-lines" },
    ...all.map((one) => {
      const line = make(
        "li",
        {},
        make(
          "button",
          { type: "button", className: "open-line", onclick: () => go(one.loc) },
          make("span", { className: `sev is-${one.severity}` }, level(one.severity)),
          " ",
          one.message.startsWith(`“${one.where}”`) ? "" : make("b", {}, `${one.where || say("whole_page")} `),
          one.message,
        ),
        one.hint ? make("p", { className: "hint" }, one.hint) : null,
      );
      line.dataset.key = `${one.severity} ${one.where} ${one.message}`;
      return line;
    }),
  );
}

/** The counts in the bar, and below them the list while it is open. */
export function openList(go) {
  const list = make("div", { className: "open-list", role: "region", hidden: true, tabIndex: -1 });
  list.setAttribute("aria-label", say("open_list"));
  const toggle = button(say("looking"), () => show(list.hidden), { className: "small open-count", disabled: true });
  toggle.setAttribute("aria-expanded", "false");
  const show = (open) => {
    list.hidden = !open;
    toggle.setAttribute("aria-expanded", String(open));
  };
  list.addEventListener("keydown", (event) => {
    if (event.key === "Escape") {
      show(false);
      toggle.focus();
    }
  });
  const tell = (all) => {
    toggle.textContent = counted(all);
    toggle.disabled = !all.length;
    if (!all.length) show(false);
    redraw(
      list,
      lines(all, (loc) => {
        show(false);
        go(loc);
      }),
    );
  };
  return { toggle, list, tell };
}
