/* The page on which an entry is written: what is typed is looked at, kept as a draft, shown as the patient sees it, and saved. */
"use strict";
import { announce, ask, at, button, key, make, put, Refused, say, Unanswered, up, words } from "./ask.js";
import { Beside } from "./beside.js";
import { conflict } from "./conflict.js";
import { Form } from "./fields.js";
import { heldPlace, holdAgain } from "./held.js";
import { note } from "./notes.js";
import { everything, openList } from "./open_list.js";
import { differs, Past } from "./past.js";
import { postureField } from "./pose/choosers.js";
import { figureField } from "./pose/pose.js";
import { redraw } from "./redraw.js";
import { steps } from "./steps.js";

const page = Array.from(crypto.getRandomValues(new Uint8Array(12)), (one) => one.toString(16).padStart(2, "0")).join(
  "",
);
const main = document.querySelector("main"), path = decodeURIComponent(location.hash.slice(1));
const language = localStorage.getItem("limberleaf-language") || "en";
const entry = { path, base: null, value: {}, page, language };
const past = new Past(), parts = {};
let form, beside, state = {}, typed = false, waiting = 0, resting = 0, number = 0, saving = false;

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
  past.stand(entry.value);
  frame();
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
      past.stand(draft.value);
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

/** What stays while the form is drawn again: the bar, and the patient's page beside the form. */
function frame() {
  parts.open = openList(go);
  parts.standing = make("span", { className: "standing" });
  parts.state = make("span", { className: "save-state", role: "status" });
  parts.next = make("p", { className: "next", role: "status" });
  parts.lost = make("p", { className: "refused lost", role: "alert" });
  parts.save = button(say("save"), save, { className: "button main" });
  parts.back = button(say("undo"), back, { className: "small" });
  parts.forth = button(say("redo"), forth, { className: "small" });
  parts.steps = steps(entry, {
    save,
    unsaved: () => typed,
    opened: () => open(),
    go,
    address: () => beside.phone.address,
  });
  const kind = make(
    "p",
    { className: "kind" },
    entry.kind_words,
    " ",
    make("span", { className: "code" }, entry.name),
    entry.translation ? ` · ${entry.translation}` : "",
    " ",
    parts.standing,
  );
  const tools = [parts.open.toggle, parts.state, parts.back, parts.forth, parts.steps, parts.save];
  const bar = make(
    "div",
    { className: "write-bar" },
    kind,
    make("div", { className: "bar-tools" }, ...tools),
    parts.open.list,
    parts.next,
    parts.lost,
  );
  parts.writing = make("div", { className: "writing" });
  beside = new Beside(() => entry.value);
  main.replaceChildren(
    bar,
    make("div", { className: "write" }, parts.writing, beside.box),
    make("p", { className: "hide", role: "status" }),
  );
  measure.disconnect();
  measure.observe(bar);
}

/** Draw the form of what is written; the cursor stays where it was. */
function draw() {
  const value = entry.value, held = heldPlace();
  form = new Form(value, entry.picks, changed, special, entry.original?.value ? entry.original : null);
  form.blanks = state.blanks || [];
  form.lines = entry.suggest;
  form.facts = { "feelings/bands": say("clinic_bands", { bands: entry.bands }) };
  parts.title = make("h1", { dir: "auto" });
  parts.notice = make("div", { className: "notice" });
  parts.left = make("div", { className: "notes-left" });
  const sections = form.sections(entry.form);
  parts.writing.replaceChildren(parts.title, parts.notice, form.jumps(entry.form), parts.left, ...sections);
  holdAgain(held);
  showTitle();
  showPast();
}
const special = { figure: figureField(entry, () => form), posture: postureField(entry) };

function showTitle() {
  parts.title.textContent = entry.value.title?.en || entry.value.title || entry.name;
}

function showPast() {
  parts.back.disabled = !past.behind.length && !entry.undo;
  parts.forth.disabled = !past.ahead.length;
}

/** What scrolls into view stops below the bar, however many lines that has. */
const measure = new ResizeObserver(([one]) =>
  document.documentElement.style.setProperty("--bar", `${Math.ceil(one.borderBoxSize[0].blockSize)}px`)
);

/** Lead to a field: scroll to it and put the cursor there. */
function go(loc) {
  const { place, box } = point(loc, true);
  const input = place?.input?.matches?.("textarea, input, select")
    ? place.input
    : box.querySelector("textarea, input, select, button");
  (input || box).focus({ preventScroll: true });
}

/** Show where a field is, scrolled to when it is not in sight; gives its place in the form and its box. */
function point(loc, always = false) {
  const place = form.nearest(loc), box = place?.box || parts.left, seen = box.getBoundingClientRect();
  if (loc[0] === "figure") place?.show?.(loc.find((step) => typeof step === "number"));
  if (always || seen.bottom < 120 || seen.top > innerHeight - 60) box.scrollIntoView({ block: "center" });
  box.classList.add("pointed");
  setTimeout(() => box.classList.remove("pointed"), 2000);
  return { place, box };
}

/** A value changed: keep it for undo, and check it once typing pauses. */
function changed(loc) {
  past.keep(key(loc.filter((step) => typeof step === "string")), entry.value);
  typed = true;
  number += 1; // an answer to what stood here before would say "saved" of what is typed now, and keep no draft of it
  parts.next.replaceChildren();
  parts.state.textContent = say("state_typed");
  showPast();
  if (loc[0] === "title") showTitle();
  clearTimeout(waiting);
  clearTimeout(resting);
  waiting = setTimeout(() => look(false), 120);
  resting = setTimeout(() => look(true), 1200);
}

/** Ask what there is to say, and say it beside the fields. Only the answer to the latest question counts. */
async function look(whole) {
  const mine = ++number;
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
  redraw(
    parts.left,
    ...left.filter((one) => one.severity !== "note").map((one) => note(one.severity, one.message, one.hint)),
  );
  if (state.other) locked(state.other);
  else if (parts.notice.querySelector(".locked")) parts.notice.replaceChildren();
  showSaveState();
  for (const line of document.querySelectorAll(".dose-summary")) line.remove();
  if (state.dose.words) {
    form.fields.get("dose")?.box.append(
      make("p", { className: "dose-summary" }, make("b", {}, state.dose.words), ` ${state.dose.time}`),
    );
  }
  beside.tell(state, entry.kind);
  if (state.page && whole) beside.phone.show(state.page, number);
}

function showSaveState() {
  parts.state.textContent = say(state.stale ? "state_stale" : typed ? "state_draft" : "state_saved");
  parts.state.className = `save-state ${typed ? "is-open" : ""}`;
  parts.save.classList.toggle("quiet", !typed);
  parts.open.tell(everything(state));
  const standing = state.standing;
  parts.standing.textContent = standing.says;
  parts.standing.className = `standing is-${standing.state}`;
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
  const sent = plain(entry.value);
  try {
    const answer = await ask("save", { path, base: entry.base, value: entry.value });
    if (answer.conflicts) {
      conflict(answer, entry.value, (joined) => {
        Object.assign(entry, { value: joined, base: answer.theirs });
        past.keep("", joined);
        typed = true;
        draw();
        look(true);
      });
      return false;
    }
    Object.assign(entry, { base: answer.base, undo: true });
    if (plain(entry.value) === sent) { // else somebody wrote on while it was saved: that is kept, and not saved yet
      typed = false;
      if (plain(answer.value) !== sent) {
        entry.value = answer.value;
        past.stand(answer.value);
        draw();
      }
    }
    showPast();
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
  if (past.behind.length) {
    await turned(past.back());
    if (typed) parts.next.textContent = say("taken_back_save");
    announce(say("taken_back"));
    return;
  }
  try {
    Object.assign(entry, await ask("undo", { path }));
    typed = false;
    past.stand(entry.value);
    draw();
    look(true);
    announce(say("taken_back"));
  } catch (error) {
    failed(error);
  }
}

/** Do again what was taken back. */
async function forth() {
  if (!past.ahead.length) return;
  await turned(past.forth());
  announce(say("put_back"));
}

/** Show another state of what is written, and the place where it is other; the cursor stays on the button. */
async function turned(value) {
  const loc = differs(entry.value, value), y = scrollY;
  entry.value = value;
  typed = true;
  number += 1;
  draw();
  scrollTo(0, y);
  if (loc) point(loc);
  await look(true);
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
    beside.phone.follow(name.split("/").map((step) => /^\d+$/.test(step) ? Number(step) : step));
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
