/* What was written before: one state for each stretch of typing in one place, to take back and to do again. */
"use strict";

const MOST = 200;
/** Milliseconds after which going on in the same place is a step of its own. */
const STRETCH = 4000;

export class Past {
  constructor() {
    this.behind = [];
    this.ahead = [];
  }

  /** From here on `value` is what is written; that is no step. */
  stand(value) {
    this.now = structuredClone(value);
  }

  /** Keep what was there before a change at the place called `name`. */
  keep(name, value) {
    const newest = this.behind[this.behind.length - 1];
    if (newest?.name !== name || Date.now() - newest.when > STRETCH) {
      this.behind.push({ name, when: Date.now(), value: this.now });
      if (this.behind.length > MOST) this.behind.shift();
    }
    this.ahead = [];
    this.stand(value);
  }

  back() {
    this.ahead.push(this.now);
    this.stand(this.behind.pop().value);
    if (this.behind.length) this.behind[this.behind.length - 1].when = 0;
    return structuredClone(this.now);
  }

  forth() {
    this.behind.push({ name: "", when: 0, value: this.now });
    this.stand(this.ahead.pop());
    return structuredClone(this.now);
  }
}

/** The place of the first difference between two values; null where there is none. */
export function differs(one, other, loc = []) {
  if (Object.is(one, other)) return null;
  const inside = [one, other].every((value) => value && typeof value === "object");
  if (!inside || Array.isArray(one) !== Array.isArray(other)) return loc;
  for (const name of new Set([...Object.keys(one), ...Object.keys(other)])) {
    const found = differs(one[name], other[name], [...loc, Array.isArray(one) ? Number(name) : name]);
    if (found) return found;
  }
  return null;
}
