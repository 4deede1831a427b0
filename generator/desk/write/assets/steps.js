/* What is done with a whole entry: approve, copy, translate, rename, retire, publish. */
"use strict";
import { ask, button, dialog, make, Refused, say, up } from "./ask.js";
import { counted, everything, lines } from "./open_list.js";

const go = (path) => {
  location.assign(`${up}write/edit.html#${encodeURIComponent(path)}`);
  location.reload();
};

/** The buttons of an entry's steps. `page` gives what they need of it: save, unsaved. */
export function steps(entry, page) {
  const box = make("div", { className: "steps-here" });
  /** What is typed is saved before a step with the whole entry: it would be left behind otherwise. */
  const saved = (next) => async () => {
    if (page.unsaved() && !(await page.save())) return;
    next();
  };
  const menu = make(
    "details",
    { className: "menu" },
    make("summary", {}, say("more")),
    make(
      "ul",
      {},
      entry.translation || entry.kind === "clinic" ? null : item(say("copy"), saved(() => copy(entry))),
      ...(entry.translation || entry.kind === "clinic"
        ? []
        : entry.languages.slice(1).map(([language, name]) =>
          item(say("translate_to", { language: name }), saved(() => step("translate", { path: entry.path, language })))
        )),
      ["ladder", "collection", "caution"].includes(entry.kind) ? item(say("rename"), saved(() => rename(entry))) : null,
      entry.translation || entry.kind === "clinic" ? null : item(say("retire"), saved(() => retire(entry))),
    ),
  );
  const approve = button(say("approve"), saved(() => approval(entry, page)), { className: "button quiet" });
  box.append(menu, entry.kind === "clinic" ? "" : approve);
  box.unsaved = (typed) => {
    approve.textContent = say(typed ? "save_approve" : "approve");
  };
  menu.addEventListener("keydown", (event) => {
    if (event.key === "Escape") {
      menu.open = false;
      menu.querySelector("summary").focus();
    }
  });
  return box;
}

function item(label, onclick) {
  return make("li", {}, button(label, onclick));
}

async function step(name, asked, shell) {
  try {
    const answer = await ask(name, asked);
    shell?.close();
    if (answer.path) go(answer.path);
    else if (answer.gone) location.assign(`${up}write/index.html`);
    return answer;
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    if (shell) shell.querySelector(".refused")?.replaceChildren(error.message);
    else dialog(say("not_done"), make("p", {}, error.message));
    return null;
  }
}

const refused = () => make("p", { className: "refused", role: "alert" });

function copy(entry) {
  const name = make("input", { id: "copy-name", type: "text", autocomplete: "off" });
  const form = make(
    "form",
    {
      onsubmit: (event) => {
        event.preventDefault();
        step("copy", { path: entry.path, name: name.value.trim() }, shell);
      },
    },
    make(
      "p",
      {},
      make("label", { htmlFor: "copy-name" }, say(entry.kind === "exercise" ? "copy_code" : "copy_name")),
      " ",
      name,
    ),
    refused(),
    make("button", { className: "button main" }, say("copy")),
  );
  const shell = dialog(say("copy"), make("p", {}, say("copy_about")), form);
}

function rename(entry) {
  const name = make("input", { id: "new-name", type: "text", autocomplete: "off", value: entry.name });
  const form = make(
    "form",
    {
      onsubmit: (event) => {
        event.preventDefault();
        step("rename", { path: entry.path, name: name.value.trim() }, shell);
      },
    },
    make("p", {}, make("label", { htmlFor: "new-name" }, say("rename_to")), " ", name),
    refused(),
    make("button", { className: "button main" }, say("rename")),
  );
  const shell = dialog(say("rename"), make("p", {}, say("rename_about")), form);
}

function retire(entry) {
  const because = make("textarea", { id: "because", rows: 2 });
  const instead = make("input", { id: "instead", type: "text", list: "instead-list", autocomplete: "off" });
  const form = make(
    "form",
    {
      onsubmit: (event) => {
        event.preventDefault();
        step("retire", { path: entry.path, because: because.value, replaced_by: instead.value }, shell);
      },
    },
    make("p", {}, make("label", { htmlFor: "because" }, say("retire_because")), because),
    entry.kind === "exercise"
      ? make(
        "p",
        {},
        make("label", { htmlFor: "instead" }, say("retire_instead")),
        " ",
        instead,
        make(
          "datalist",
          { id: "instead-list" },
          ...entry.picks.exercise.map(([value, label]) => make("option", { value }, label)),
        ),
      )
      : null,
    refused(),
    make("button", { className: "button main" }, say("retire")),
  );
  const shell = dialog(say("retire"), make("p", {}, say("retire_about")), form);
}

/** The approval: every change with what it means, the figure before and after, and a yes to each. */
async function approval(entry, page) {
  let toApprove;
  try {
    toApprove = await ask("approval", { path: entry.path, language: entry.language });
  } catch (error) {
    dialog(say("approve"), make("p", {}, error.message));
    return;
  }
  if (toApprove.waiting) {
    confirming(entry, page, toApprove);
    return;
  }
  const yes = [],
    still = everything({
      findings: toApprove.open.filter((one) => one.severity),
      marks: toApprove.open.filter((one) => one.level),
    });
  const rows = toApprove.differences.map((one, index) => {
    const tick = make("input", { type: "checkbox", id: `yes-${index}` });
    const why = one.weakens ? make("textarea", { rows: 1, id: `why-${index}` }) : null;
    yes.push({ tick, why });
    return make(
      "li",
      { className: one.safety ? "is-safety" : "" },
      make(
        "p",
        {},
        make("span", { className: `sev is-${one.safety ? "error" : "note"}` }, say(one.safety ? "safety" : "wording")),
        ` ${one.says}`,
      ),
      make("p", { className: "tick-line" }, tick, make("label", { htmlFor: tick.id }, ` ${say("that_is_right")}`)),
      why ? make("p", {}, make("label", { htmlFor: why.id }, say("why_safe")), why) : null,
    );
  });
  const role = make(
    "select",
    { id: "role" },
    make("option", { value: "" }, say("choose")),
    ...toApprove.roles.map((one) => make("option", { value: one }, one)),
  );
  const read = make("input", { type: "checkbox", id: "read-all" });
  const figures = toApprove.before.length || toApprove.after.length
    ? make(
      "div",
      { className: "before-after" },
      figure(say("before"), toApprove.before),
      figure(say("after"), toApprove.after),
    )
    : null;
  const form = make(
    "form",
    {
      onsubmit: async (event) => {
        event.preventDefault();
        const asked = {
          path: entry.path,
          language: entry.language,
          fingerprint: toApprove.fingerprint,
          role: role.value,
          read: read.checked,
          yes: yes.map((one) => ({ yes: one.tick.checked, why: one.why?.value || "" })),
        };
        const answer = await step("approve", asked, shell);
        if (answer) {
          const done = dialog(
            say("approve"),
            make("p", {}, answer.message),
            answer.recorded
              ? make(
                "p",
                {},
                button(say("publish"), () => {
                  done.close();
                  publish();
                }, { className: "button main" }),
              )
              : null,
          );
          page.opened();
        }
      },
    },
    toApprove.never ? make("p", {}, say("never_recorded")) : null,
    rows.length ? make("ol", { className: "differences" }, ...rows) : null,
    figures,
    still.length
      ? make(
        "div",
        {},
        make("h3", {}, `${say("open_findings")}: ${counted(still)}`),
        lines(still, (loc) => {
          shell.close();
          page.go(loc);
        }),
      )
      : make("p", {}, say("open_none")),
    make("p", { className: "tick-line" }, read, make("label", { htmlFor: "read-all" }, ` ${say("read_all")}`)),
    make(
      "p",
      {},
      make("label", { htmlFor: "role" }, say("your_role")),
      " ",
      role,
      " ",
      make("span", { className: "hint" }, toApprove.two ? say("two_people") : ""),
    ),
    toApprove.roles.length ? null : make(
      "p",
      {},
      say("no_roles"),
      " ",
      make("a", { href: `${up}write/edit.html#clinic.yml`, target: "_blank" }, say("clinic")),
    ),
    toApprove.first ? make("p", {}, say("first_yes", toApprove.first)) : null,
    refused(),
    make("button", { className: "button main" }, say("approve")),
  );
  const address = page.address();
  const shell = dialog(
    say("approve"),
    make("p", {}, say("approve_about")),
    make(
      "div",
      { className: address ? "approve-beside" : "" },
      form,
      address
        ? make(
          "div",
          { className: "approve-page" },
          make("h3", {}, say("page_beside")),
          make(
            "div",
            { className: "phone-case" },
            make("iframe", { title: say("page_beside"), src: `${up}${address}?approve` }),
          ),
        )
        : null,
    ),
  );
  shell.classList.toggle("is-wide", Boolean(address));
}

/** A second person's part: old and new of each change that one person agreed to, and a yes to each. */
function confirming(entry, page, toApprove) {
  const ticks = toApprove.waiting.map((one, index) =>
    make("input", { type: "checkbox", id: `second-${index}`, value: one.key })
  );
  const rows = toApprove.waiting.map((one, index) =>
    make(
      "li",
      { className: "is-safety" },
      make("p", {}, one.says),
      make(
        "dl",
        {},
        make("dt", {}, say("was")),
        make("dd", {}, one.was),
        make("dt", {}, say("is_now")),
        make("dd", {}, one.now),
        ...(one.caption ? [make("dt", {}, say("caption_beside")), make("dd", {}, one.caption)] : []),
        make("dt", {}, say("agreed")),
        make("dd", {}, one.agreed),
      ),
      make(
        "p",
        { className: "tick-line" },
        ticks[index],
        make("label", { htmlFor: ticks[index].id }, ` ${say("that_is_right")}`),
      ),
    )
  );
  const role = make(
    "select",
    { id: "role" },
    make("option", { value: "" }, say("choose")),
    ...toApprove.roles.map((one) => make("option", { value: one }, one)),
  );
  const form = make(
    "form",
    {
      onsubmit: async (event) => {
        event.preventDefault();
        const asked = {
          path: entry.path,
          role: role.value,
          keys: ticks.filter((one) => one.checked).map((one) => one.value),
        };
        const answer = await step("confirm", asked, shell);
        if (answer) {
          dialog(say("confirm"), make("p", {}, answer.message));
          page.opened();
        }
      },
    },
    make("ol", { className: "differences" }, ...rows),
    make(
      "p",
      {},
      make("label", { htmlFor: "role" }, say("your_role")),
      " ",
      role,
      " ",
      make("span", { className: "hint" }, toApprove.roles.length ? "" : say("nobody_second")),
    ),
    refused(),
    make("button", { className: "button main" }, say("confirm")),
  );
  const shell = dialog(say("confirm"), make("p", {}, say("confirm_about")), form);
}

function figure(title, svgs) {
  const box = make("figure", {}, make("figcaption", {}, title));
  for (const svg of svgs) {
    const one = make("div", { className: "panel" });
    one.innerHTML = svg;
    box.append(one);
  }
  if (!svgs.length) box.append(make("p", { className: "hint" }, say("none_before")));
  return box;
}

/** Build the site and say how it went. */
export async function publish() {
  const line = make("p", { role: "status" }, say("publishing"));
  const shell = dialog(say("publish"), line);
  try {
    const begun = await ask("publish", {});
    let build = begun;
    while (build.running) {
      await new Promise((done) => {
        setTimeout(done, 700);
      });
      build = await ask("published", {});
    }
    line.textContent = build.done ? say("published", { where: build.where }) : say("not_published");
    if (build.output) {
      shell.append(make("pre", { className: "changes", tabIndex: 0, "aria-label": say("publish") }, build.output));
    }
  } catch (error) {
    line.textContent = error.message;
  }
}
