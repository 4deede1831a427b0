/* The page on which an entry is written: what is typed is looked at, kept as a draft, shown as the patient sees it, and saved. */
"use strict";
import { announce, ask, at, button, dialog, key, make, put, Refused, say, Unanswered, up, words } from "./ask.js";
import { Form, note } from "./fields.js";
import { everything, openList } from "./open_list.js";
import { Phone } from "./phone.js";
import { figureField, postureField } from "./pose.js";
import { steps } from "./steps.js";

const page = Array.from(crypto.getRandomValues(new Uint8Array(12)), (one) => one.toString(16).padStart(2, "0")).join(
  "",
);
const main = document.querySelector("main"), path = decodeURIComponent(location.hash.slice(1));
const language = localStorage.getItem("limberleaf-language") || "en";
const entry = { path, base: null, value: {}, page, language };
let form, phone, state = {}, typed = false, waiting = 0, resting = 0, number = 0, future = [], saving = false;
const past = [];
const parts = {};

const copy = (value) => JSON.parse(JSON.stringify(value));
/** A value as text that does not depend on the order of keys, nor on numbers being typed or written. */
const plain = (value) =>
  JSON.stringify(
    value,
    (_, one) =>
      one && typeof one === "object" && !Array.isArray(one)
        ? Object.fromEntries(Object.keys(one).sort().map((name) => [name, one[name]]))
        : typeof one === "number"
        ? String(one)
        : one,
  );

async function open() {
  let opened;
  try {
    opened = await ask("open", { path, language });
  } catch (error) {
    main.replaceChildren(make("div", { className: "desk-sheet" }, make("h1", {}, path), make("p", {}, error.message)));
    return;
  }
  Object.assign(words, opened.words);
  document.documentElement.lang = opened.words.lang;
  Object.assign(entry, opened, { page });
  if (opened.draft && opened.base === null) {
    Object.assign(entry, { value: opened.draft.value, base: opened.draft.base });
  }
  draw();
  if (opened.unreadable) say_line(opened.unreadable);
  if (opened.draft && opened.base !== null) offer(opened.draft);
  else typed = opened.base === null;
  look(true);
}

/** Offer a draft that was left: go on with it, or throw it away. */
function offer(draft) {
  const box = make(
    "div",
    { className: "offer", role: "group", "aria-label": say("draft_left") },
    make(
      "p",
      {},
      say("draft_from", { when: new Date(draft.when).toLocaleString(language), who: draft.who || say("somebody") }),
    ),
    button(say("draft_go_on"), () => {
      box.remove();
      entry.value = draft.value;
      entry.base = draft.base;
      typed = true;
      draw();
      look(true);
    }),
    " ",
    button(say("draft_drop"), () => ask("leave", { path, page, drop: true }).then(() => box.remove(), failed), {
      className: "small",
    }),
  );
  parts.notice.replaceChildren(box);
}

function draw() {
  const value = entry.value;
  form = new Form(
    value,
    entry.picks,
    changed,
    { figure: figureField(entry, () => form), posture: postureField(entry) },
    entry.original?.value ? entry.original : null,
  );
  form.blanks = state.blanks || [];
  form.lines = entry.suggest;
  form.facts = { "feelings/bands": say("clinic_bands", { bands: entry.bands }) };
  parts.open = openList(go);
  parts.standing = make("span", { className: "standing" });
  parts.title = make("h1", { dir: "auto" }, value.title?.en || value.title || entry.name);
  parts.state = make("span", { className: "save-state", role: "status" });
  parts.next = make("p", { className: "next", role: "status" });
  parts.lost = make("p", { className: "refused lost", role: "alert" });
  parts.save = button(say("save"), save, { className: "button main" });
  parts.back = button(say("undo"), back, { className: "small", disabled: !past.length && !entry.undo });
  parts.forth = button(say("redo"), forth, { className: "small", disabled: !future.length });
  parts.steps = steps(entry, { save, unsaved: () => typed, opened: () => open(), go, address: () => phone.address });
  parts.notice = make("div", { className: "notice" });
  parts.left = make("div", { className: "notes-left" });
  parts.more = make("div", { className: "more" });
  const sections = form.sections(entry.form);
  const jump = make(
    "nav",
    { className: "jump", "aria-label": say("parts") },
    make(
      "ul",
      {},
      ...entry.form.map((one) =>
        make(
          "li",
          {},
          make("a", {
            href: `#part-${one.key}`,
            onclick: (event) => {
              event.preventDefault();
              const head = document.getElementById(`part-${one.key}`);
              head.closest("section").querySelector("input, textarea, select, button")?.focus({ preventScroll: true });
              head.scrollIntoView();
            },
          }, one.label),
        )
      ),
    ),
  );
  const bar = make(
    "div",
    { className: "write-bar" },
    make(
      "p",
      { className: "kind" },
      entry.kind_words,
      " ",
      make("span", { className: "code" }, entry.name),
      entry.translation ? ` · ${entry.translation}` : "",
      " ",
      parts.standing,
    ),
    make(
      "div",
      { className: "bar-tools" },
      parts.open.toggle,
      parts.state,
      parts.back,
      parts.forth,
      parts.steps,
      parts.save,
    ),
    parts.open.list,
    parts.next,
    parts.lost,
  );
  const writing = make(
    "div",
    { className: "writing" },
    parts.title,
    parts.notice,
    jump,
    parts.left,
    ...sections,
    parts.more,
  );
  if (parts.bar?.isConnected) {
    parts.bar.replaceWith(bar);
    parts.writing.replaceWith(writing);
  } else {
    main.replaceChildren(
      bar,
      make("div", { className: "write" }, writing, beside()),
      make("p", { className: "hide", role: "status" }),
    );
  }
  Object.assign(parts, { bar, writing });
  measure.disconnect();
  measure.observe(bar);
}

/** The patient's page beside the form. It stays in the document when the form is drawn again: a frame that is moved loads again. */
function beside() {
  phone = new Phone(() => entry.value);
  parts.banner = make("p", { className: "banner", role: "status" });
  parts.reading = make("p", { className: "reads" });
  parts.changes = make("pre", { className: "changes", tabIndex: 0 });
  parts.changes.setAttribute("aria-label", say("changes"));
  return make(
    "aside",
    { className: "beside", "aria-label": say("beside") },
    make(
      "div",
      { className: "beside-inner" },
      make("h2", {}, say("patient_page")),
      parts.banner,
      parts.reading,
      phone.box,
      make("details", {}, make("summary", {}, say("changes")), parts.changes),
    ),
  );
}

/** What scrolls into view stops below the bar, however many lines that has. */
const measure = new ResizeObserver(([one]) =>
  document.documentElement.style.setProperty("--bar", `${Math.ceil(one.borderBoxSize[0].blockSize)}px`)
);

/** Lead to a field: scroll to it and put the cursor there. */
function go(loc) {
  const place = form.nearest(loc), box = place?.box || parts.left;
  if (loc[0] === "figure") place?.show?.(loc.find((step) => typeof step === "number"));
  box.scrollIntoView({ block: "center" });
  const input = place?.input?.matches?.("textarea, input, select")
    ? place.input
    : box.querySelector("textarea, input, select, button");
  (input || box).focus({ preventScroll: true });
  box.classList.add("pointed");
  setTimeout(() => box.classList.remove("pointed"), 2000);
}

const snapshots = [];
/** A value changed: keep it for undo, and check it once typing pauses. */
function changed(loc) {
  const name = key(loc.filter((step) => typeof step === "string"));
  if (!snapshots.length || snapshots.at(-1).name !== name || Date.now() - snapshots.at(-1).when > 4000) {
    past.push(last);
    if (past.length > 200) past.shift();
    snapshots.push({ name, when: Date.now() });
  }
  last = copy(entry.value);
  typed = true;
  number += 1; // an answer to what stood here before would say "saved" of what is typed now, and keep no draft of it
  future = [];
  parts.next.replaceChildren();
  parts.back.disabled = false;
  parts.forth.disabled = true;
  if (loc[0] === "title") parts.title.textContent = entry.value.title?.en || entry.value.title || entry.name;
  clearTimeout(waiting);
  clearTimeout(resting);
  waiting = setTimeout(() => look(false), 120);
  resting = setTimeout(() => look(true), 1200);
}
let last = null;

/** Ask what there is to say, and say it beside the fields. Only the answer to the latest question counts. */
async function look(whole) {
  const mine = ++number;
  last ||= copy(entry.value);
  try {
    const answer = await ask("look", { path, base: entry.base, value: entry.value, page, whole, typed, language });
    if (mine !== number) return;
    if (!whole) { // what only the slow look sees stays until it looks again
      answer.findings.push(...(state.findings || []).filter((one) => one.slow));
    }
    state = answer;
  } catch (error) {
    if (mine === number) failed(error);
    return;
  }
  parts.lost.replaceChildren();
  if (state.same) typed = false;
  form.blanks = state.blanks;
  const left = form.tell(state.findings, state.marks, use);
  parts.left.replaceChildren(
    ...left.filter((one) => one.severity !== "note").map((one) => note(one.severity, one.message, one.hint)),
  );
  if (state.other) locked(state.other);
  else if (parts.notice.querySelector(".locked")) parts.notice.replaceChildren();
  showSaveState();
  showReading();
  parts.changes.textContent = state.changed.join("\n") || say("nothing_changed");
  for (const line of document.querySelectorAll(".dose-summary")) line.remove();
  if (state.dose.words) {
    form.fields.get("dose")?.box.append(
      make("p", { className: "dose-summary" }, make("b", {}, state.dose.words), ` ${state.dose.time}`),
    );
  }
  if (!state.page) {
    phone.absent(
      say(["caution", "clinic", "caution-translation"].includes(entry.kind) ? "no_page_kind" : "no_page_yet"),
    );
  } else if (whole) phone.show(state.page, number);
}

function showReading() {
  const one = state.reading;
  parts.reading.replaceChildren(
    `${say("reading")}: `,
    make("b", {}, one.band),
    one.grades ? ` ${one.grades}` : "",
    one.against === "above" ? " " : "",
    one.against === "above" ? make("span", { className: "sev is-warning" }, say("above_target")) : "",
  );
}

function showSaveState() {
  parts.state.textContent = say(state.stale ? "state_stale" : typed ? "state_draft" : "state_saved");
  parts.state.className = `save-state ${typed ? "is-open" : ""}`;
  parts.save.classList.toggle("quiet", !typed);
  parts.open.tell(everything(state));
  const standing = state.standing, open = ["never", "changed"].includes(standing.state);
  parts.standing.textContent = standing.says;
  parts.standing.className = `standing is-${standing.state}`;
  parts.banner.textContent = [
    open ? `${standing.says}. ${say("do_not_give")}` : standing.says,
    state.whole ? "" : say("page_partial"),
  ].filter(Boolean).join(" ");
  parts.banner.className = `banner ${open ? "is-open" : ""}`;
  parts.steps.unsaved(typed);
}

/** Say why something was not done: in the bar, which is always in sight, when the desk does not answer; and try again. */
function failed(error) {
  if (!(error instanceof Unanswered)) {
    parts.next.replaceChildren(make("span", { className: "refused", role: "alert" }, error.message));
    return;
  }
  parts.lost.textContent = error.message;
  if (typed) parts.state.textContent = say("state_lost");
  clearTimeout(resting);
  resting = setTimeout(() => look(true), 5000);
}

function say_line(text) {
  parts.notice?.replaceChildren(make("p", { className: "offer", role: "alert" }, text));
}

function locked(name) {
  if (parts.notice.querySelector(".locked")) return;
  parts.notice.replaceChildren(
    make(
      "div",
      { className: "offer locked", role: "alert" },
      make("p", {}, say("locked", { who: name || say("somebody") })),
      button(say("lock_take"), () =>
        ask("leave", { path, page, take: true }).then(() => {
          parts.notice.replaceChildren();
          look(false);
        }, failed), { className: "small" }),
    ),
  );
}

/** Take an easier word in place of a marked one. */
function use(mark) {
  const text = at(entry.value, mark.loc);
  put(entry.value, mark.loc, text.slice(0, mark.start) + mark.replacement + text.slice(mark.end));
  const area = document.querySelector(`.area[data-text="${CSS.escape(key(mark.loc))}"] textarea`);
  area.value = at(entry.value, mark.loc);
  area.dispatchEvent(new Event("input"));
  area.focus();
  announce(say("used", { word: mark.replacement }));
}

/** Save; when the file changed meanwhile the three states are laid side by side instead. */
async function save() {
  if (saving) return false;
  saving = true;
  try {
    const answer = await ask("save", { path, base: entry.base, value: entry.value });
    if (answer.conflicts) {
      conflict(answer);
      return false;
    }
    const other = plain(answer.value) !== plain(entry.value);
    Object.assign(entry, { base: answer.base, undo: true });
    if (other) {
      entry.value = answer.value;
      last = copy(answer.value);
      draw();
    }
    typed = false;
    await look(true);
    parts.next.replaceChildren(
      [say(`saved_${state.standing.state || "minor"}`), say(entry.git ? "saved_git" : "saved_dated")].join(" "),
      " ",
      make("a", { href: `${up}write/index.html` }, say("start_page")),
    );
    announce(say("saved"));
    return true;
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    failed(error);
    return false;
  } finally {
    saving = false;
  }
}

/** Take back the last change; with none left here, the last save. */
async function back() {
  if (past.length) {
    future.push(copy(entry.value));
    snapshots.pop();
    await turned(past.pop());
    if (typed) parts.next.textContent = say("taken_back_save");
    announce(say("taken_back"));
    return;
  }
  try {
    const answer = await ask("undo", { path });
    Object.assign(entry, answer);
    typed = false;
    last = copy(entry.value);
    draw();
    look(true);
    announce(say("taken_back"));
  } catch (error) {
    failed(error);
  }
}

/** Do again what was taken back. */
async function forth() {
  if (!future.length) return;
  past.push(copy(entry.value));
  snapshots.push({ name: "", when: 0 });
  await turned(future.pop());
  announce(say("put_back"));
}

/** Show another state of what is written, at the same place of the page. */
async function turned(value) {
  const y = scrollY;
  entry.value = value;
  last = copy(value);
  typed = true;
  draw();
  scrollTo(0, y);
  await look(true);
}

/** Three states side by side: as it was, as somebody saved it, as it was typed here. */
function conflict(answer) {
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
        const joined = copy(answer.value);
        for (const row of rows) {
          const mine = row.querySelector("input:checked")?.value === "mine", name = row.dataset.key;
          if (mine && name in entry.value) joined[name] = entry.value[name];
          else if (mine) delete joined[name];
        }
        Object.assign(entry, { value: joined, base: answer.theirs });
        typed = true;
        shell.close();
        draw();
        look(true);
      }, { className: "button main" }),
    ),
  );
}

addEventListener("keydown", (event) => {
  if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "s") {
    event.preventDefault();
    save();
  }
});
document.addEventListener("focusin", (event) => {
  const place = event.target.closest?.("[data-text], [data-loc]"), name = place?.dataset.text ?? place?.dataset.loc;
  if (name !== undefined && place.closest(".writing")) {
    phone.follow(name.split("/").map((step) => /^\d+$/.test(step) ? Number(step) : step));
  }
});
addEventListener("pagehide", () => {
  navigator.sendBeacon?.(`${up}ask/leave`, new Blob([JSON.stringify({ path, page })], { type: "application/json" }));
});
addEventListener("hashchange", () => {
  if (decodeURIComponent(location.hash.slice(1)) !== path && !location.hash.startsWith("#part-")) location.reload();
});
setInterval(() => {
  if (!document.hidden && form) look(false);
}, 30000);
open();
