/* What the writing pages share: questions to the desk, small elements, the words of the interface. */
"use strict";
import { unpressed } from "./press.js";
import { listen } from "./redraw.js";

export const up = document.documentElement.dataset.up || "";
export const words = {};

/** Say the words of a name, with its blanks filled: say("moved", {to: 2}). */
export function say(name, values = {}) {
  return (words[name] || name).replace(/\{(\w+)\}/g, (all, key) => values[key] ?? all);
}

export class Refused extends Error {}
/** The desk was not reached, or could not take the question: nothing of it is kept. */
export class Unanswered extends Refused {}

/** Ask the desk; a refusal is thrown in its own plain words. An answer changes the page: it waits for the end of a press. */
export async function ask(name, asked) {
  try {
    return await askNow(name, asked);
  } finally {
    await unpressed();
  }
}

/** Ask the desk for what may be shown while something is being pressed, such as a limb that is dragged. */
export async function askNow(name, asked) {
  let reply;
  try {
    reply = await fetch(`${up}ask/${name}`, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ who: localStorage.getItem("limberleaf-name") || "", ...asked }),
    });
  } catch {
    throw new Unanswered(say("no_answer"));
  }
  if (!reply.ok) throw new Unanswered(reply.status === 500 ? say("no_answer") : (await reply.text()).trim());
  const answer = await reply.json();
  if (answer.refused) throw new Refused(answer.refused);
  return answer;
}

/** Make an element: make("p", {className: "hint"}, "words", child). */
export function make(tag, properties = {}, ...inside) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (name.startsWith("on")) listen(element, name, value);
    else if (name.includes("-") || ["for", "role", "list", "lang", "dir"].includes(name)) {
      element.setAttribute(name, value);
    } else element[name] = value;
  }
  element.append(...inside.filter((one) => one !== null && one !== undefined && one !== ""));
  return element;
}

export function button(label, onclick, properties = {}) {
  return make("button", { type: "button", onclick, ...properties }, label);
}

let live;
/** Tell people who listen what happened. */
export function announce(text) {
  live ||= document.querySelector("[role=status].hide");
  if (!live) return;
  live.textContent = "";
  requestAnimationFrame(() => {
    live.textContent = text;
  });
}

/** Show a dialog with a heading and give it; it is removed when it closes. */
export function dialog(title, ...inside) {
  const head = make("h2", { id: `dialog-${Math.random().toString(36).slice(2, 8)}`, tabIndex: -1 }, title);
  const shell = make(
    "dialog",
    { className: "sheet", "aria-labelledby": head.id },
    make("div", { className: "sheet-head" }, head, button(say("close"), () => shell.close(), { className: "small" })),
    ...inside,
  );
  shell.addEventListener("close", () => shell.remove());
  document.body.append(shell);
  shell.showModal();
  head.focus();
  return shell;
}

export const at = (value, loc) => loc.reduce((one, step) => one?.[step], value);

/** Put a value at its place, making what is missing on the way; undefined takes it out, and what is left empty above it. */
export function put(value, loc, given) {
  const [last] = loc.slice(-1), above = loc.slice(0, -1);
  let place = value;
  above.forEach((step, index) => {
    if (place[step] === undefined || place[step] === null) place[step] = typeof loc[index + 1] === "number" ? [] : {};
    place = place[step];
  });
  if (given === undefined) {
    if (Array.isArray(place)) place.splice(last, 1);
    else delete place[last];
    if (
      above.length && !Array.isArray(place) && !Object.keys(place).length &&
      !Array.isArray(at(value, above.slice(0, -1)))
    ) put(value, above, undefined);
  } else place[last] = given;
}

export const key = (loc) => loc.join("/");
