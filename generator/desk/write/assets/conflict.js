/* An entry that somebody else saved meanwhile: the three states side by side, and a choice for each part. */
"use strict";
import { button, dialog, make, say } from "./ask.js";

/** Three states side by side: as it was, as somebody saved it, as it was `written` here; `take(joined)` gets what was chosen. */
export function conflict(answer, written, take) {
  const rows = answer.conflicts.map((one, index) => {
    const name = `c${index}`,
      pick = (which, text) =>
        make(
          "td",
          { role: "cell", "data-label": say(`conflict_${which}`) },
          make(
            "p",
            { className: "tick-line" },
            make("input", {
              type: "radio",
              name,
              value: which,
              id: `${name}-${which}`,
              checked: one.both ? which === "mine" : (which === "theirs") === (one.theirs !== one.base),
            }),
            make("label", { htmlFor: `${name}-${which}` }, ` ${say(`take_${which}`)}`),
          ),
          make("pre", {}, text || "–"),
        );
    return make(
      "tr",
      { role: "row", "data-key": one.key, className: one.both ? "both" : "" },
      make("th", { role: "rowheader", scope: "row" }, one.key.replace(/_/g, " ")),
      make("td", { role: "cell", "data-label": say("conflict_base") }, make("pre", {}, one.base || "–")),
      pick("theirs", one.theirs),
      pick("mine", one.mine),
    );
  });
  const table = make(
    "table",
    { className: "compare", role: "table" },
    make(
      "thead",
      { role: "rowgroup" },
      make(
        "tr",
        { role: "row" },
        ...["conflict_part", "conflict_base", "conflict_theirs", "conflict_mine"].map((one) =>
          make("th", { role: "columnheader", scope: "col" }, say(one))
        ),
      ),
    ),
    make("tbody", { role: "rowgroup" }, ...rows),
  );
  const shell = dialog(
    say("conflict"),
    make("p", {}, say("conflict_about")),
    table,
    make(
      "p",
      {},
      button(say("conflict_join"), () => {
        const joined = structuredClone(answer.value);
        for (const row of rows) {
          const mine = row.querySelector("input:checked")?.value === "mine", name = row.dataset.key;
          if (mine && name in written) joined[name] = written[name];
          else if (mine) delete joined[name];
        }
        shell.close();
        take(joined);
      }, { className: "button main" }),
    ),
  );
}
