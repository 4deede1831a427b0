/* Making what is on the page like what it should be, in place: an element that is there already stays the same element, so
   whoever has the cursor on it, or is about to press it, is not thrown off. */
"use strict";

/** What elements of ours listen to, by element: the handlers of an event's name ("onclick"). */
const hears = new WeakMap();

function hear(event) {
  hears.get(event.currentTarget)[`on${event.type}`]?.call(event.currentTarget, event);
}

/** Let an element listen; another handler of the same name later takes the place of this one. */
export function listen(element, name, handler) {
  if (!hears.has(element)) hears.set(element, {});
  const own = hears.get(element);
  if (!(name in own)) element.addEventListener(name.slice(2), hear);
  own[name] = handler;
}

/** Make the inside of an element like `wanted`: elements, texts, and null or "" for nothing. */
export function redraw(box, ...wanted) {
  const had = /** @type {HTMLElement} */ (document.activeElement);
  const nodes = wanted.filter((one) => one !== null && one !== undefined && one !== "");
  match(box, nodes.map((one) => typeof one === "string" ? document.createTextNode(one) : one));
  if (had !== document.activeElement && had?.isConnected) had.focus({ preventScroll: true });
}

function match(box, wanted) {
  const there = [...box.childNodes];
  const nodes = wanted.map((want) => {
    const index = there.findIndex((one) => alike(one, want));
    if (index < 0) return want;
    const [same] = there.splice(index, 1);
    become(same, want);
    return same;
  });
  for (const gone of there) gone.remove();
  let place = box.firstChild;
  for (const node of nodes) {
    if (node === place) place = place.nextSibling;
    else box.insertBefore(node, place);
  }
}

/** The same thing in another state: of one kind, and of one name where it has a name. */
function alike(one, other) {
  return one.nodeName === other.nodeName && (one.id || "") === (other.id || "") &&
    one.dataset?.key === other.dataset?.key;
}

function become(one, other) {
  if (!(one instanceof Element)) {
    if (one.data !== other.data) one.data = other.data;
    return;
  }
  for (const { name } of [...one.attributes]) if (!other.hasAttribute(name)) one.removeAttribute(name);
  for (const { name, value } of other.attributes) {
    if (one.getAttribute(name) !== value) one.setAttribute(name, value);
  }
  for (const [name, handler] of Object.entries(hears.get(other) || {})) listen(one, name, handler);
  match(one, [...other.childNodes]);
  if (one.matches("input, select, textarea")) stand(one, other);
}

/** A box somebody writes in keeps what is written there. */
function stand(one, other) {
  if (one.checked !== other.checked) one.checked = other.checked;
  const written = one === document.activeElement && one.matches("textarea, input[type=text], input[type=search]");
  if (!written && one.value !== other.value) one.value = other.value;
}
