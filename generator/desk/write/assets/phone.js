/* The page as the patient sees it, beside the form: never blank while it is made again, and scrolled to what is being written. */
"use strict";
import { at, make, say, up } from "./ask.js";

const PLACES = { figure: "figure, .figure", dose: ".dose, [id^=dose]", feelings: ".feelings, [id^=feel]", title: "h1" };

export class Phone {
  constructor(value) {
    this.value = value;
    this.frames = [0, 1].map(() => make("iframe", { title: say("patient_page") }));
    this.none = make("p", { className: "hint no-page" }, say("page_coming"));
    this.box = make("div", { className: "phone-case" }, this.none, ...this.frames);
    this.turn(0, false);
    this.loc = null;
  }

  turn(shown, there = true) {
    this.shown = shown;
    for (const [index, frame] of this.frames.entries()) {
      frame.className = index === shown ? "phone" : "phone-next";
      frame.hidden = index !== shown || !there;
      frame.tabIndex = index === shown ? 0 : -1;
    }
    this.none.hidden = there;
  }

  /** Make the page anew in the frame that is not seen, and turn to it once it is there. */
  show(address, count) {
    const next = 1 - this.shown, frame = this.frames[next], from = this.frames[this.shown].contentWindow?.scrollY || 0;
    this.address = address;
    frame.onload = () => {
      this.turn(next);
      frame.contentWindow.scrollTo(0, from);
      if (this.loc) this.follow(this.loc, true);
    };
    frame.src = `${up}${address}?${count}`;
  }

  absent(why) {
    this.none.textContent = why;
    this.turn(this.shown, false);
  }

  /** Show the place of a field in the page: by its words, else by the part of the page it goes to. */
  follow(loc, again = false) {
    if (!again && this.loc && this.loc.join() === loc.join()) return;
    this.loc = loc;
    const page = this.frames[this.shown].contentDocument,
      found = page?.querySelector("main") && this.find(page.querySelector("main"), loc);
    if (!found) return;
    const box = found.getBoundingClientRect(), view = this.frames[this.shown].contentWindow;
    if (box.top < 40 || box.bottom > view.innerHeight - 40) {
      view.scrollTo(0, view.scrollY + box.top - view.innerHeight / 3);
    }
  }

  find(main, loc) {
    const text = at(this.value(), loc);
    if (typeof text === "string") {
      const longest = text.split(/\{\w+\}|\[\[[^\]]*\]\]/).map((one) =>
        one.trim()
      ).sort((a, b) => b.length - a.length)[0] || "";
      if (longest.length > 3) {
        const around = [...main.querySelectorAll("h1, h2, h3, p, li, dd, dt, figcaption, td, summary")].filter((one) =>
          one.textContent.replace(/\s+/g, " ").includes(longest)
        );
        const inside = around.find((one) => !around.some((other) => other !== one && one.contains(other)));
        if (inside) return inside;
      }
    }
    const place = PLACES[loc[0]];
    return place ? main.querySelector(place) : null;
  }
}
