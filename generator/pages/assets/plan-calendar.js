/* Reminders for a plan as a calendar file: the twin of generator/plan/calendar.py. */
(function () {
  "use strict";
  var L = window.limberleaf, el = L.el, say = L.say;

  var DAYS = ["SU", "MO", "TU", "WE", "TH", "FR", "SA"];
  var SPREAD = { 1: [0], 2: [0, 3], 3: [0, 2, 4], 4: [0, 2, 4, 6], 5: [0, 1, 3, 4, 5], 6: [0, 1, 2, 3, 4, 5] };
  var AT = { 1: ["09"], 2: ["09", "18"], 3: ["09", "14", "19"], 4: ["08", "12", "16", "20"] };

  L.reminders = function (found, fragment, start, withLink) {
    var days = 1, often = 1, minutes = 0;
    found.chosen.forEach(function (one) {
      var total = L.totals(one.dose, one.sides);
      days = Math.max(days, one.dose.days_a_week[1]);
      often = Math.max(often, total.times_a_day[1]);
      minutes += total.session[1];
    });
    return {
      name: say("plan.calendar.name"), words: say("plan.calendar.words"), start: start, weeks: found.plan.weeks,
      days_a_week: days, times_a_day: often, minutes: Math.ceil(minutes / 60), seed: fragment,
      link: withLink ? L.planAddress(fragment) : "",
    };
  };

  L.calendar = function (given, stamp) {
    var lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Limberleaf//Plan//EN", "CALSCALE:GREGORIAN"];
    var day = given.start.replace(/-/g, "");
    AT[Math.min(Math.max(given.times_a_day, 1), 4)].forEach(function (hour, slot) {
      lines.push("BEGIN:VEVENT", "UID:" + seedOf(given.seed) + "-" + day + "-" + (slot + 1) + "@limberleaf",
        "DTSTAMP:" + stamp, "DTSTART:" + day + "T" + hour + "0000", "DURATION:PT" + Math.max(1, given.minutes) + "M",
        "RRULE:" + rule(given.start, given.days_a_week, given.weeks), "SUMMARY:" + escaped(given.name));
      if (given.link) lines.push("DESCRIPTION:" + escaped(given.words + " " + given.link), "URL:" + given.link);
      else lines.push("DESCRIPTION:" + escaped(given.words));
      lines.push("TRANSP:TRANSPARENT", "CLASS:PRIVATE", "BEGIN:VALARM", "ACTION:DISPLAY", "TRIGGER:PT0S",
        "DESCRIPTION:" + escaped(given.name), "END:VALARM", "END:VEVENT");
    });
    lines.push("END:VCALENDAR");
    return lines.map(function (line) { return folded(line) + "\r\n"; }).join("");
  };

  function rule(start, days, weeks) {
    if (days >= 7) return "FREQ=DAILY;COUNT=" + weeks * 7;
    var first = new Date(start + "T00:00:00Z").getUTCDay();
    var on = SPREAD[Math.max(days, 1)].map(function (offset) { return (first + offset) % 7; });
    on.sort(function (a, b) { return ((a + 6) % 7) - ((b + 6) % 7); });
    return "FREQ=WEEKLY;BYDAY=" + on.map(function (at) { return DAYS[at]; }).join(",") + ";COUNT=" + weeks * on.length;
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
    var now = new Date();
    var today = new Date(now.getTime() - now.getTimezoneOffset() * 60000).toISOString().slice(0, 10);
    var start = el("input", { type: "date", id: "cal-start", value: today, min: today });
    var link = el("input", { type: "checkbox", id: "cal-link" });
    var done = el("span", { class: "said", role: "status" });
    function get() {
      var stamp = new Date().toISOString().replace(/[-:]|\.\d+/g, "");
      var text = L.calendar(L.reminders(found, fragment, start.value || today, link.checked), stamp);
      var url = URL.createObjectURL(new Blob([text], { type: "text/calendar" }));
      var anchor = el("a", { href: url, download: "exercises.ics" });
      document.body.appendChild(anchor);
      anchor.click();
      anchor.remove();
      setTimeout(function () { URL.revokeObjectURL(url); }, 1000);
      done.textContent = say("plan.cal_done");
    }
    L.put(part,
      el("p", { text: say("plan.cal_words") }),
      el("p", { class: "field" }, el("label", { for: "cal-start", text: say("plan.cal_start") }), start),
      el("p", { class: "tick-field" }, link, el("label", { for: "cal-link", text: say("plan.cal_link") })),
      el("p", {}, el("button", { type: "button", onclick: get, text: say("plan.cal_get") }), " ", done));
  };
})();
