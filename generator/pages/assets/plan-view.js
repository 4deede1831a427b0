/* The patient's page of a plan: pictures, own dose, what to stop, cautions merged, a week to tick, reminders. */
(function () {
  "use strict";
  /** @type {Limberleaf} */
  var L = window.limberleaf, el = L.el, say = L.say, put = L.put, remarks = L.remarks;
  var host = document.getElementById("plan"), named = L.named, fragment, shown, drawn;

  L.patient = function (found, body) {
    var plan = found.plan, count = found.chosen.length;
    fragment = L.write(plan);
    shown = plan;
    var facts = [say("plan.summary", { n: count, number: count }), say("plan.weeks", { n: plan.weeks, number: plan.weeks })];
    if (count) facts.splice(1, 0, say("plan.day_total", { time: L.about(found.day) }));
    put(body,
      el("p", { class: "aim plan-facts" }, facts.map(function (fact) { return el("span", { text: fact }); })),
      el("p", { class: "tools plan-tools" },
        count ? el("a", { class: "button main", href: host.dataset.follow + "#" + fragment, text: say("plan.follow") }) : null,
        el("button", { type: "button", onclick: function () { window.print(); }, text: say("plan.print") }),
        largeButton(),
        el("a", { class: "button", href: "#stop-and-help", text: say("plan.get_help") })),
      remarks(found.remarks.filter(function (one) { return !one.clinic; })),
      stars(found),
      el("p", { class: "short-note", text: say("plan.short_note") }),
      todayPart(found),
      stops(found.stop),
      words(found.plan),
      el("ol", { class: "plan-list" }, found.chosen.map(card)),
      helpPart(found),
      count ? chart(found) : null,
      count ? calendarPart(found, fragment) : null,
      el("section", { class: "for-clinic tools" },
        el("h2", { text: say("plan.for_clinic") }),
        el("button", { type: "button", text: say("plan.change"), onclick: function () { L.change(plan); } }), " ",
        el("button", { type: "button", text: say("plan.new"), onclick: function () { L.change(L.newPlan({ weeks: L.data.weeks.usual })); } })));
    L.foot(fragment);
    if (L.printNext) printSoon(body);
  };

  function printSoon(body) {
    document.documentElement.classList.add(L.printNext);
    L.printNext = 0;
    Promise.all(Array.from(body.querySelectorAll("img")).map(function (img) {
      return img.decode().catch(function () { /* a missing picture prints as its words */ });
    })).then(function () { window.print(); });
  }

  function largeButton() {
    var button = el("button", { type: "button", "aria-pressed": "false", text: say("plan.large") });
    button.addEventListener("click", function () {
      var on = document.documentElement.classList.toggle("large");
      button.setAttribute("aria-pressed", String(on));
    });
    return button;
  }

  function stars(found) {
    var one = found.chosen.find(function (chosen) { return chosen.pick.star; });
    return !one || found.chosen.length < 2 ? null : el("p", { class: "plan-star" },
      el("strong", { text: say("plan.star") + ": " }),
      named(one));
  }

  /* What the clinic says with this plan, and when it is looked at again. */
  function words(plan) {
    var lines = plan.notes.map(function (name) { return L.data.notes[name]; }).filter(Boolean);
    if (plan.review && !L.over(plan)) lines.push(say("plan.review", { day: L.dayWords(plan.review) }));
    return lines.length ? el("section", { class: "plan-words" },
      el("h2", { text: say("plan.words_title") }), el("ul", {}, lines.map(function (line) { return el("li", { text: line }); }))) : null;
  }

  /* What is for today, each with how often; what is not for every day stands apart, with its days or how many they are. Where
     the plan is to be looked at first, nothing is for today. */
  function todayPart(found) {
    if (!found.chosen.length) return null;
    var plan = found.plan, over = L.over(plan), due = found.chosen.filter(function (one) {
      return plan.days.length ? L.isToday(one, plan) : one.dose.days_a_week[1] > 6;
    });
    var rest = found.chosen.filter(function (one) { return due.indexOf(one) < 0; });
    drawn = { day: L.today(), found: found };
    return el("section", { class: "plan-words plan-today" },
      el("h2", { text: say("plan.today", { day: L.dayWords(L.today()) }) }),
      over ? el("p", {}, el("strong", { text: over })) : [
        due.length ? el("ul", {}, due.map(function (one) {
          return el("li", {}, named(one), ": " + L.timeNeeded(one.dose, one.sides));
        })) : plan.days.length ? el("p", { text: say("plan.today_none") }) : null,
        rest.length ? el("p", {}, L.daysIn(plan.days.length ? "not" : "free", rest, plan)) : null,
        el("p", { text: say("plan.weeks_over", { n: plan.weeks, number: plan.weeks }) })]);
  }

  /* The page may stand open over night. */
  ["visibilitychange", "pageshow"].forEach(function (name) {
    window.addEventListener(name, function () {
      var old = document.querySelector(".plan-today"), said = document.querySelector(".plan-today ~ .plan-words");
      if (!old || drawn.day === L.today()) return;
      if (said) said.replaceWith(words(shown) || "");
      old.replaceWith(todayPart(drawn.found));
    });
  });

  /* A text in the language it is in. */
  function titled(one, text) { return el("span", Object.assign({ text: text }, L.foreign(one))); }

  function stops(list) {
    if (!list.length) return null;
    return el("section", { class: "plan-stop" },
      el("h2", { text: say("plan.stop_title") }),
      el("ul", {}, list.map(function (one) {
        return el("li", {}, el("s", {}, L.code(one.code) + " ", titled(one, one.title)));
      })),
      el("p", { text: say("plan.stop_words") }));
  }

  /* What the clinic wrote of an exercise in its main language alone says so by its `lang`; all else is in the page's own. */
  function card(one, index) {
    var text = one.text, side = sideWords(one), days = L.ownDays(one, shown), own = L.foreign(one);
    return el("li", { class: "plan-card" },
      el("div", { class: "plan-card-head" },
        el("h2", {}, el("span", { class: "number", text: String(index + 1) }), " ", titled(one, text.title),
          side ? " " : null, side ? el("span", { class: "side", text: side }) : null),
        one.pick.star ? el("p", { class: "badge", text: say("plan.star") }) : null,
        one.main ? el("p", { class: "plan-note", text: say("plan.foreign", { language: one.main.name }) }) : null),
      el("div", { class: "plan-card-in" },
        el("div", {},
          el("div", { class: "figure" }, el("div", { class: "panels" }, text.panels.map(function (panel, i) {
            return el("figure", {},
              el("img", Object.assign({ src: L.root + panel[0], alt: panel[1] }, own)),
              el("figcaption", {}, text.panels.length > 1 ? [el("span", { class: "number", text: String(i + 1) }), " "] : null, el("span", own, L.rich(panel[2])), " ", L.signs(panel[3], one.dose)));
          }))),
          el("h3", { text: say("plan.how_much") }),
          el("ul", { class: "cells" }, L.cells(one.dose, one.sides).map(function (cell) {
            return el("li", {}, el("b", { text: cell[0] }), " ", el("span", { text: cell[1] }));
          })),
          el("p", { class: "dose", text: L.spoken(one.dose, one.sides) + (days ? " " + say("plan.card_days", { days: days }) : "") }),
          L.list("ul", text.short, "in-short", own),
          el("p", { class: "total", text: L.totalLine(one.dose, one.sides) })),
        el("div", {},
          el("p", { class: "facts-line", text: one.exercise.position }),
          one.exercise.needs.length ? el("p", { class: "facts-line", text: say("plan.need") + ": " + L.listed(one.exercise.needs) }) : null,
          one.exercise.never.map(function (never) {
            return el("p", { class: "facts-line must" }, el("b", { text: say("plan.never") + " " }), L.rich(never));
          }),
          one.exercise.clearance ? el("p", {}, el("strong", { text: say("plan.clearance") })) : null,
          el("h3", { text: say("plan.ready") }),
          L.list("ol", text.setup, "steps", own),
          el("h3", { text: say("plan.do") }),
          L.list("ol", text.steps, "steps", own),
          el("div", { class: "plan-rules" },
            el("div", {}, el("h3", { class: "stop-if" }, L.icon("stop"), say("plan.stop")), L.list("ul", text.stop, "", own)),
            el("div", { class: "leave" }, el("h3", { text: say("plan.leave") }), L.list("ul", text.leave, "", own))),
          one.exercise.pain ? ownPain(one.exercise.pain) : null,
          el("p", { class: "whole" }, el("a", { href: L.href(text.href) + "#" + fragment, text: say("plan.whole") + ": " + L.code(one.pick.code) })))));
  }

  /* The bands of an exercise that has its own, each with its name and what to do. */
  function ownPain(lines) {
    var acts = ["", say("plan.ease_words"), say("plan.stop_pain")];
    return el("div", { class: "plan-pain" }, el("h3", { text: say("plan.pain_own") }),
      el("ul", {}, ["carry_on", "ease_off", "stop"].map(function (name, i) {
        return el("li", {}, el("b", { text: say("plan.bands." + name) + ": " }), lines[i] + (acts[i] ? " " + acts[i] : ""));
      })));
  }

  /* Say the side a page is for: left and right, each in turn, or that the patient was shown. */
  function sideWords(one) {
    if (one.exercise.sides !== "one") return "";
    return one.side === "none" ? say("plan.no_side") : say("plan.sides." + one.side);
  }

  function helpPart(found) {
    var acts = { carry_on: null, ease_off: say("plan.ease_words"), stop: say("plan.stop_pain") };
    return el("section", { id: "stop-and-help", tabindex: "-1" },
      el("h2", { text: say("plan.help_title") }),
      el("div", { class: "bands" }, Object.keys(acts).map(function (name, i) {
        return el("div", { class: "band " + name }, L.icon(name), el("div", {},
          el("h3", { text: say("plan.bands." + name) }),
          el("ul", {}, el("li", { text: L.data.pain[i] })),
          acts[name] ? el("p", { class: "do", text: acts[name] }) : null));
      })),
      L.boxes(found.chosen));
  }

  function chart(found) {
    var days = L.data.days, rests = false;
    var table = el("table", { class: "chart plan-chart" },
      el("caption", { text: say("plan.chart") + ". " + say("plan.chart_week") }),
      el("thead", {}, el("tr", {}, el("th", { scope: "col", text: say("plan.chart_exercise") }), days.map(function (day) {
        return el("th", { scope: "col", text: day });
      }))),
      el("tbody", {}, found.chosen.map(function (one, i) {
        var ticks = L.totals(one.dose, one.sides).times_a_day[1];
        return el("tr", {},
          el("th", { scope: "row" }, i + 1 + ". ", named(one)),
          days.map(function (_day, at) {
            var on = L.daysOf(one.dose.days_a_week[1], found.plan.days).indexOf(at) >= 0;
            var cell = el("td", { class: on ? null : "off" });
            if (!on) { rests = true; return cell; }
            for (var n = 0; n < (ticks > 4 ? 1 : ticks); n++) cell.appendChild(el("i", { class: "tick" }));
            return cell;
          }));
      })));
    return el("div", { class: "plan-week" }, table, rests && !found.plan.days.length ? el("p", { class: "hint", text: say("plan.chart_rest") }) : null);
  }

  /* The form for reminders is made when it is opened; it has a script of its own. */
  function calendarPart(found, fragment) {
    var part = el("details", { class: "plan-calendar" }, el("summary", { text: say("plan.cal_title") }));
    part.addEventListener("toggle", function () {
      if (part.children.length > 1) return;
      L.script(L.data.scripts.calendar).then(function (came) {
        if (came && part.children.length === 1) L.calendarForm(part, found, fragment);
      });
    });
    return part;
  }
})();
