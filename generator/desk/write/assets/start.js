/* Where writing begins: a new entry, what was left as a draft, the clinic's settings, publishing, the history. */
"use strict";
import { ask, button, make, Refused, say, up, words } from "./ask.js";
import { publish } from "./steps.js";

const main = document.querySelector("main"), language = localStorage.getItem("limberleaf-language") || "en";
const go = (path) => location.assign(`${up}write/edit.html#${encodeURIComponent(path)}`);

async function begin() {
  const page = await ask("start", { language });
  Object.assign(words, page.words);
  document.documentElement.lang = page.words.lang;
  const name = make("input", {
    id: "my-name",
    type: "text",
    autocomplete: "name",
    value: page.who || localStorage.getItem("limberleaf-name") || "",
    disabled: Boolean(page.who),
    oninput: () => localStorage.setItem("limberleaf-name", name.value),
  });
  const languages = make("select", {
    id: "languages",
    onchange: () => {
      localStorage.setItem("limberleaf-language", languages.value);
      location.reload();
    },
  }, ...page.languages.map(([value, label]) => make("option", { value, lang: value }, label)));
  languages.value = page.words.lang;
  main.replaceChildren(
    make(
      "div",
      { className: "desk-sheet" },
      make("h1", {}, say("write")),
      make(
        "div",
        { className: "start-who" },
        make("p", {}, make("label", { htmlFor: "my-name" }, say("your_name")), " ", name),
        make("p", {}, make("label", { htmlFor: "languages" }, say("interface")), " ", languages),
      ),
      make("div", { className: "desk-two" }, fresh(page), drafts(page)),
      git(page),
      make("p", { className: "hide", role: "status" }),
    ),
  );
}

function fresh(page) {
  const kind = make("select", { id: "kind" }, ...page.kinds.map(([value, label]) => make("option", { value }, label)));
  const region = make(
    "select",
    { id: "region" },
    make("option", { value: "" }, say("choose")),
    ...page.regions.map(([value, label]) => make("option", { value }, label)),
  );
  const title = make("input", { id: "title", type: "text", autocomplete: "off" });
  const name = make("input", { id: "name", type: "text", autocomplete: "off" });
  const hint = make("span", { className: "hint" }, say("code_wait"));
  const line = make("p", { className: "refused", role: "alert" });
  const suggest = async () => {
    hint.textContent = say(kind.value !== "exercise" ? "name_hint" : region.value ? "code_free" : "code_wait");
    if (kind.value === "exercise" && region.value) name.value = (await ask("next-code", { region: region.value })).name;
    else if (kind.value !== "exercise") {
      name.value = title.value.toLowerCase().normalize("NFD").replace(/\p{M}/gu, "").replace(/[^a-z0-9]+/g, "-")
        .replace(/^[^a-z]+|-+$/g, "");
    }
  };
  for (const one of [kind, region]) one.addEventListener("change", suggest);
  title.addEventListener("input", () => {
    if (kind.value !== "exercise") suggest();
  });
  return make(
    "section",
    { "aria-labelledby": "new" },
    make("h2", { id: "new" }, say("new")),
    make(
      "form",
      {
        className: "start-new",
        onsubmit: async (event) => {
          event.preventDefault();
          try {
            go(
              (await ask("new", {
                kind: kind.value,
                region: region.value,
                title: title.value.trim(),
                name: name.value.trim(),
              })).path,
            );
          } catch (error) {
            if (!(error instanceof Refused)) throw error;
            line.textContent = error.message;
          }
        },
      },
      row("kind", say("new_kind"), kind),
      row("region", say("new_region"), region),
      row("title", say("new_title"), title),
      row("name", say("new_name"), name, hint),
      line,
      make("button", { className: "button main" }, say("begin")),
    ),
  );
}

function row(id, label, input, ...more) {
  return make("p", {}, make("label", { htmlFor: id }, label), " ", input, ...more);
}

/** A moment in words: with its month by name, which day and month cannot change places in. */
const moment = (when) =>
  new Date(when).toLocaleString(language === "en" ? "en-GB" : language, {
    day: "numeric",
    month: "long",
    year: "numeric",
    hour: "2-digit",
    minute: "2-digit",
  });

function drafts(page) {
  const list = page.drafts.length
    ? make(
      "ul",
      { className: "drafts" },
      ...page.drafts.map((one) =>
        make(
          "li",
          {},
          make("a", { href: `${up}write/edit.html#${encodeURIComponent(one.path)}` }, one.title),
          " ",
          make(
            "span",
            { className: "hint" },
            `${one.who ? `${one.who}, ` : ""}${moment(one.when)}`,
          ),
        )
      ),
    )
    : make("p", { className: "hint" }, say("no_drafts"));
  return make(
    "section",
    { "aria-labelledby": "left" },
    make("h2", { id: "left" }, say("drafts")),
    list,
    make("h2", {}, say("whole_library")),
    make(
      "p",
      { className: "start-links" },
      make("a", { className: "button quiet", href: `${up}write/edit.html#clinic.yml` }, say("clinic")),
      " ",
      button(say("publish"), publish, { className: "button quiet" }),
    ),
    make(
      "p",
      { className: "hint" },
      say("find_in_overview"),
      " ",
      make("a", { href: `${up}index.html` }, say("overview")),
    ),
  );
}

function git(page) {
  const box = make("section", { "aria-labelledby": "history" }, make("h2", { id: "history" }, say("history")));
  const one = page.git;
  if (!one.branch) {
    box.append(
      make("p", {}, say("no_git")),
      make("ul", { className: "drafts" }, ...one.dated.map((line) => make("li", {}, line))),
    );
    return box;
  }
  box.append(make("p", {}, say("branch", { name: one.branch })));
  if (!one.changes.length) {
    box.append(make("p", { className: "hint" }, say("all_committed")));
    return box;
  }
  const message = make("input", {
    id: "message",
    type: "text",
    autocomplete: "off",
    value: one.changes.length === 1 ? one.changes[0] : "",
  });
  const line = make("p", { className: "refused", role: "alert" });
  box.append(
    make("p", {}, say("not_committed")),
    make("ul", {}, ...one.changes.map((change) => make("li", {}, change))),
    make(
      "form",
      {
        className: "start-new",
        onsubmit: async (event) => {
          event.preventDefault();
          try {
            await ask("commit", { message: message.value });
            begin();
          } catch (error) {
            line.textContent = error.message;
          }
        },
      },
      row("message", say("commit_message"), message),
      line,
      make("button", { className: "button quiet" }, say("commit")),
    ),
  );
  return box;
}
begin().catch((error) => main.replaceChildren(make("div", { className: "desk-sheet" }, make("p", {}, error.message))));
