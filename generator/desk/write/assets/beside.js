/* What stands beside the form: the page as the patient sees it, what may be done with it, how it reads, what a save changes. */
"use strict";
import { make, say } from "./ask.js";
import { Phone } from "./phone.js";

const NO_PAGE = ["caution", "clinic", "caution-translation"];

export class Beside {
  constructor(value) {
    this.phone = new Phone(value);
    this.banner = make("p", { className: "banner", role: "status" });
    this.reading = make("p", { className: "reads" });
    this.changes = make("pre", { className: "changes", tabIndex: 0, "aria-label": say("changes") });
    const inner = make(
      "div",
      { className: "beside-inner" },
      make("h2", {}, say("patient_page")),
      this.banner,
      this.reading,
      this.phone.box,
      make("details", {}, make("summary", {}, say("changes")), this.changes),
    );
    this.box = make("aside", { className: "beside", "aria-label": say("beside") }, inner);
  }

  /** Say what a look at an entry of this kind found. */
  tell(state, kind) {
    const { standing, reading } = state, open = ["never", "changed"].includes(standing.state);
    this.banner.textContent = [
      open ? `${standing.says}. ${say("do_not_give")}` : standing.says,
      state.whole ? "" : say("page_partial"),
    ].filter(Boolean).join(" ");
    this.banner.className = `banner ${open ? "is-open" : ""}`;
    this.reading.replaceChildren(
      `${say("reading")}: `,
      make("b", {}, reading.band),
      reading.grades ? ` ${reading.grades}` : "",
      ...(reading.against === "above" ? [" ", make("span", { className: "sev is-warning" }, say("above_target"))] : []),
    );
    this.changes.textContent = state.changed.join("\n") || say("nothing_changed");
    if (!state.page) this.phone.absent(say(NO_PAGE.includes(kind) ? "no_page_kind" : "no_page_yet"));
  }
}
