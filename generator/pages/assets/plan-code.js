/* A plan as the fragment of an address, and back: the twin of generator/plan/codec.py, which describes the form. */
(function () {
  "use strict";
  /** @type {Limberleaf} */
  var L = window.limberleaf = Object.prototype.hasOwnProperty.call(window, "limberleaf") ? window.limberleaf : {}; // not the element of that name

  var LONGEST = 2000;
  var FIELDS = { s: "sets", r: "repetitions", h: "hold", p: "rest", t: "times_a_day", d: "days_a_week", u: "duration" };
  var SIDES = { l: "left", r: "right", b: "turn", n: "none" };
  var PICK = /^([a-z]{2,4})([0-9]{2,3})([lrbn])([1-9][0-9]{0,3})((?:[srhptdu][0-9]{1,4})*)(x?)$/;
  var READERS = { 1: read1, 2: read2 };
  var MOST = 20, MOST_NOTES = 4;
  var MOST_WEEKS = 52;

  /* CRC-16 with polynomial 0x1021 and start 0, as 4 hex digits. */
  function checkOf(body) {
    var crc = 0;
    for (var i = 0; i < body.length; i++) {
      crc ^= body.charCodeAt(i) << 8;
      for (var bit = 0; bit < 8; bit++) crc = (crc & 0x8000 ? (crc << 1) ^ 0x1021 : crc << 1) & 0xffff;
    }
    return ("000" + crc.toString(16)).slice(-4);
  }

  function trouble(code) { return { plan: null, trouble: code }; }

  /* Give {plan} or {trouble}: empty, too_long, no_plan, newer, damaged or too_many. Nothing is thrown. */
  L.read = function (fragment) {
    var text = String(fragment).replace(/^[ \t\r\n]+|[ \t\r\n]+$/g, "").replace(/^#/, "");
    if (!text) return trouble("empty");
    if (text.length > LONGEST) return trouble("too_long");
    var known = /^[\x00-\x7f]*$/.test(text) ? /^[0-9a-z.]*/.exec(text.toLowerCase())[0].replace(/\.+$/, "") : "";
    var cut = known.lastIndexOf(".");
    var body = cut < 0 ? "" : known.slice(0, cut);
    var version = body.split(".")[0];
    if (!/^[1-9][0-9]{0,2}$/.test(version)) return trouble("no_plan");
    if (!READERS[version]) return trouble("newer");
    if (known.slice(cut + 1) !== checkOf(body)) return trouble("damaged");
    return READERS[version](body.split(".").slice(1));
  };

  function read1(parts) {
    var weeks = /^w([1-9][0-9]?)$/.exec(parts[0] || "");
    if (!weeks || +weeks[1] > MOST_WEEKS) return trouble("no_plan");
    var picks = [], stop = [], seen = {};
    for (var i = 1; i < parts.length; i++) {
      var gone = /^0([a-z]{2,4})([0-9]{2,3})$/.exec(parts[i]);
      if (gone) {
        var code = gone[1] + "-" + gone[2];
        if (stop.indexOf(code) < 0) stop.push(code);
        continue;
      }
      var pick = pickOf(PICK.exec(parts[i]));
      if (!pick) return trouble("no_plan");
      if (!seen[pick.code + pick.side]) picks.push(pick);
      seen[pick.code + pick.side] = true;
    }
    if (!picks.length) return trouble("no_plan");
    if (picks.length > MOST || stop.length > MOST) return trouble("too_many");
    return { plan: L.newPlan({ picks: picks, weeks: +weeks[1], stop: stop }), trouble: null };
  }

  /* Days, the day of the review and notes, in this order, behind the weeks; the rest is as in version 1. */
  function read2(parts) {
    var at = 1, days, day, note, notes = [];
    if ((days = /^d(?=[1-7])(1?2?3?4?5?6?7?)$/.exec(parts[at] || ""))) at++;
    if ((day = /^a(20[0-9]{2})([0-9]{2})([0-9]{2})$/.exec(parts[at] || ""))) {
      day = day.slice(1).join("-");
      if (!L.isDay(day)) return trouble("no_plan");
      at++;
    }
    for (; (note = /^m([0-9]{2,3})$/.exec(parts[at] || "")); at++) {
      if (notes.indexOf("note-" + note[1]) < 0) notes.push("note-" + note[1]);
    }
    var reading = read1(parts.slice(0, 1).concat(parts.slice(at)));
    if (!reading.plan) return reading;
    if (notes.length > MOST_NOTES) return trouble("too_many");
    return { plan: Object.assign(reading.plan, { days: days ? days[1].split("").map(Number) : [], review: day || "", notes: notes }), trouble: null };
  }

  /* Tell whether a text such as 2026-12-07 is a day of the calendar. */
  L.isDay = function (text) {
    var day = new Date(text);
    return !isNaN(+day) && day.toISOString().slice(0, 10) === text;
  };

  /* Give a plan with what is known of it; the rest is empty. */
  L.newPlan = function (known) {
    return Object.assign({ picks: [], weeks: 6, stop: [], days: [], review: "", notes: [] }, known);
  };

  function pickOf(found) {
    if (!found) return null;
    var changes = {}, part, each = /([srhptdu])([0-9]{1,4})/g;
    while ((part = each.exec(found[5]))) {
      if (FIELDS[part[1]] in changes) return null;
      changes[FIELDS[part[1]]] = +part[2];
    }
    return { code: found[1] + "-" + found[2], side: SIDES[found[3]], version: +found[4], changes: changes, star: !!found[6] };
  }

  L.write = function (plan) {
    var head = plan.notes.map(function (name) { return "m" + name.slice(5); });
    if (plan.review) head.unshift("a" + plan.review.replace(/-/g, ""));
    if (plan.days.length) head.unshift("d" + plan.days.join(""));
    var parts = [head.length ? "2" : "1", "w" + plan.weeks].concat(head);
    plan.picks.forEach(function (pick) {
      var text = pick.code.replace("-", "") + { left: "l", right: "r", turn: "b", none: "n" }[pick.side] + pick.version;
      Object.keys(FIELDS).forEach(function (letter) {
        if (FIELDS[letter] in pick.changes) text += letter + pick.changes[FIELDS[letter]];
      });
      parts.push(text + (pick.star ? "x" : ""));
    });
    plan.stop.forEach(function (code) { parts.push("0" + code.replace("-", "")); });
    var body = parts.join(".");
    return body + "." + checkOf(body);
  };

  /* The draft: the plan being made, for as long as this tab is open. */
  var KEY = "limberleaf.plan";
  L.draft = {
    /* Tell whether this tab's draft was copied, shared or printed, and so belongs to somebody. */
    handed: function () {
      try { return sessionStorage.getItem(KEY + ".handed") === sessionStorage.getItem(KEY) && !!sessionStorage.getItem(KEY); }
      catch { return false; }
    },
    handOver: function (on) {
      try {
        if (on) sessionStorage.setItem(KEY + ".handed", sessionStorage.getItem(KEY) || "");
        else sessionStorage.removeItem(KEY + ".handed");
      } catch { /* nothing is kept, so nothing is handed on */ }
    },
    get: function () {
      try { return L.read(sessionStorage.getItem(KEY) || "").plan || L.newPlan(); }
      catch { return L.newPlan(); }
    },
    set: function (plan) {
      try {
        if (plan.picks.length) sessionStorage.setItem(KEY, L.write(plan));
        else sessionStorage.removeItem(KEY);
        return true;
      } catch { return false; }
    },
  };
  L.most = MOST;
  L.mostNotes = MOST_NOTES;
})();
