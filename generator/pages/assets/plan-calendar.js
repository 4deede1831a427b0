/* Reminders for a plan as a calendar file: the twin of generator/plan/calendar.py. */
(function () {
  "use strict";
  /** @type {Limberleaf} */
  var L = window.limberleaf, el = L.el, say = L.say;

  var DAYS = ["SU", "MO", "TU", "WE", "TH", "FR", "SA"], ALL = [0, 1, 2, 3, 4, 5, 6];
  var TIMES = { 1: ["09:00"], 2: ["09:00", "18:00"], 3: ["09:00", "14:00", "19:00"], 4: ["08:00", "12:00", "16:00", "20:00"] };
  var DAY = 86400000;

  /* Say when to remind of a plan: every exercise as it is dosed, for as many weeks as the plan runs. */
  L.reminders = function (found, fragment, start, withLink) {
    var often = 1, due = found.chosen.map(function (one) {
      var total = L.totals(one.dose, one.sides);
      often = Math.max(often, Math.min(total.times_a_day[1], 4));
      return { days: daysFrom(start, one.dose.days_a_week[1], found.plan.days), times_a_day: total.times_a_day[1], seconds: total.session[1] };
    });
    return {
      name: say("plan.calendar.name"), words: say("plan.calendar.words"), start: start,
      end: later(start, found.plan.weeks * 7 - 1), times: TIMES[often], due: due, seed: fragment,
      link: withLink ? L.planAddress(fragment) : "",
    };
  };

  /* Named days are counted from the first day of the reminders. */
  function daysFrom(start, often, chosen) {
    var first = (new Date(start + "T00:00:00Z").getUTCDay() + 6) % 7;
    return L.daysOf(often, chosen).map(function (day) { return chosen.length ? (day - first + 7) % 7 : day; });
  }

  function later(day, days) { return new Date(Date.parse(day + "T00:00:00Z") + days * DAY).toISOString().slice(0, 10); }

  /* Give at which of the day's times something done so often a day is due, spread from the first to the last. */
  function isDue(often, slot, times) {
    if (often >= times || times < 2) return true;
    if (often < 2) return slot === 0;
    for (var at = 0; at < often; at++) {
      if (Math.floor((2 * at * (times - 1) + often - 1) / (2 * (often - 1))) === slot) return true;
    }
    return false;
  }

  /* One call for all that is due at a time; days that take as long together are in one rule. */
  function calls(due, times) {
    var list = [];
    for (var slot = 0; slot < times; slot++) {
      var byMinutes = new Map();
      ALL.forEach(function (day) {
        var seconds = due.reduce(function (sum, one) {
          return sum + (one.days.indexOf(day) >= 0 && isDue(one.times_a_day, slot, times) ? one.seconds : 0);
        }, 0);
        var minutes = Math.max(1, Math.ceil(seconds / 60));
        if (seconds) byMinutes.set(minutes, (byMinutes.get(minutes) || []).concat(day));
      });
      byMinutes.forEach(function (days, minutes) { list.push({ slot: slot, days: days, minutes: minutes }); });
    }
    return list;
  }

  L.calendar = function (given, stamp) {
    var lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Limberleaf//Plan//EN", "CALSCALE:GREGORIAN"];
    calls(given.due, given.times.length).forEach(function (call, at) { lines = lines.concat(event(given, call, stamp, at + 1)); });
    lines.push("END:VCALENDAR");
    return lines.map(function (line) { return folded(line) + "\r\n"; }).join("");
  };

  function event(given, call, stamp, number) {
    var length = (Date.parse(given.end) - Date.parse(given.start)) / DAY + 1, on = [];
    for (var offset = 0; offset < length; offset++) if (call.days.indexOf(offset % 7) >= 0) on.push(offset);
    if (!on.length) return [];
    var first = later(given.start, on[0]).replace(/-/g, "");
    return ["BEGIN:VEVENT", "UID:" + seedOf(given.seed) + "-" + given.start.replace(/-/g, "") + "-" + number + "@limberleaf",
      "DTSTAMP:" + stamp, "DTSTART:" + first + "T" + given.times[call.slot].replace(":", "") + "00",
      "DURATION:PT" + call.minutes + "M", "RRULE:" + rule(given.start, call.days, on.length), "SUMMARY:" + escaped(given.name),
    ].concat(given.link
      ? ["DESCRIPTION:" + escaped(given.words + " " + given.link), "URL:" + given.link]
      : ["DESCRIPTION:" + escaped(given.words)],
    ["TRANSP:TRANSPARENT", "CLASS:PRIVATE", "BEGIN:VALARM", "ACTION:DISPLAY", "TRIGGER:PT0S",
      "DESCRIPTION:" + escaped(given.name), "END:VALARM", "END:VEVENT"]);
  }

  function rule(start, days, count) {
    if (days.length === 7) return "FREQ=DAILY;COUNT=" + count;
    var first = new Date(start + "T00:00:00Z").getUTCDay();
    var on = days.map(function (day) { return (first + day) % 7; });
    on.sort(function (a, b) { return ((a + 6) % 7) - ((b + 6) % 7); });
    return "FREQ=WEEKLY;BYDAY=" + on.map(function (at) { return DAYS[at]; }).join(",") + ";COUNT=" + count;
  }
  function seedOf(text) {
    var value = 0x811c9dc5;
    for (var i = 0; i < text.length; i++) value = Math.imul(value ^ text.charCodeAt(i), 0x01000193) >>> 0;
    return ("0000000" + value.toString(16)).slice(-8);
  }
  function escaped(text) {
    // eslint-disable-next-line no-control-regex
    return text.replace(/[\\;,]/g, "\\$&").replace(/\n/g, "\\n").replace(/[\x00-\x1f\x7f]/g, "");
  }
  function folded(line) {
    var out = "", room = 75, size = new TextEncoder();
    Array.from(line).forEach(function (sign) {
      var bytes = size.encode(sign).length;
      if (bytes > room) { out += "\r\n "; room = 74; }
      out += sign;
      room -= bytes;
    });
    return out;
  }

  L.calendarForm = function (part, found, fragment) {
    var today = L.today();
    var usual = L.reminders(found, fragment, today, false);
    var start = el("input", { type: "date", id: "cal-start", value: today, min: today });
    var end = el("input", { type: "date", id: "cal-end", value: usual.end, min: today });
    var times = usual.times.map(function (at, i) {
      return el("input", { type: "time", id: "cal-time-" + (i + 1), value: at, required: true });
    });
    var link = el("input", { type: "checkbox", id: "cal-link" });
    var done = el("span", { class: "said", role: "status" });
    start.addEventListener("change", function () {
      if (!start.value) return;
      end.min = start.value;
      end.value = later(start.value, found.plan.weeks * 7 - 1);
    });
    function get() {
      var stamp = new Date().toISOString().replace(/[-:]|\.\d+/g, "");
      var given = L.reminders(found, fragment, start.value || today, link.checked);
      if (end.value && end.value < given.start) { done.textContent = say("plan.cal_wrong_end"); end.focus(); return; }
      given.end = end.value || given.end;
      given.times = times.map(function (one, i) { return one.value || usual.times[i]; }).sort();
      var url = URL.createObjectURL(new Blob([L.calendar(given, stamp)], { type: "text/calendar" }));
      var anchor = el("a", { href: url, download: "exercises.ics" });
      document.body.appendChild(anchor);
      anchor.click();
      anchor.remove();
      setTimeout(function () { URL.revokeObjectURL(url); }, 1000);
      done.textContent = say("plan.cal_done");
    }
    function field(input, words) { return el("p", { class: "field" }, el("label", { for: input.id, text: words }), input); }
    L.put(part,
      el("p", { text: say("plan.cal_words") }),
      field(start, say("plan.cal_start")),
      field(end, say("plan.cal_end")));
    times.forEach(function (one, i) { L.put(part, field(one, say("plan.cal_time", { number: i + 1 }))); });
    L.put(part,
      el("p", { class: "tick-field" }, link, el("label", { for: "cal-link", text: say("plan.cal_link") })),
      el("p", {}, el("button", { type: "button", onclick: get, text: say("plan.cal_get") }), " ", done));
  };
})();
