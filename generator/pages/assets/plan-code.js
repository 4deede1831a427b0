/* A plan as the fragment of an address, and back: the twin of generator/plan/codec.py, which describes the form. */
(function () {
  "use strict";
  var L = (window.limberleaf = window.limberleaf || {});

  var LONGEST = 2000;
  var FIELDS = { s: "sets", r: "repetitions", h: "hold", p: "rest", t: "times_a_day", d: "days_a_week", u: "duration" };
  var SIDES = { l: "left", r: "right", b: "turn", n: "none" };
  var PICK = /^([a-z]{2,4})([0-9]{2,3})([lrbn])([1-9][0-9]{0,3})((?:[srhptdu][0-9]{1,4})*)(x?)$/;
  var READERS = { 1: read1 };
  var MOST = 20;
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
    // eslint-disable-next-line no-control-regex
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
    if (!weeks || weeks[1] > MOST_WEEKS) return trouble("no_plan");
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
    return { plan: { picks: picks, weeks: +weeks[1], stop: stop }, trouble: null };
  }

  function pickOf(found) {
    if (!found) return null;
    var changes = {}, part, each = /([srhptdu])([0-9]{1,4})/g;
    while ((part = each.exec(found[5]))) {
      if (FIELDS[part[1]] in changes) return null;
      changes[FIELDS[part[1]]] = +part[2];
    }
    return { code: found[1] + "-" + found[2], side: SIDES[found[3]], version: +found[4], changes: changes, star: !!found[6] };
  }

  /* Read what a clinician types: codes with sides and doses ("kn-03L kn-06L 3x8 10s 2/day 3/week"). Gives picks to be, each
     {code, side, changes, typed}; a dose belongs to the code before it. `rest` is what could not be read. */
  L.typed = function (text) {
    var found = [], rest = [], part;
    var one = /([a-z]{2,4})[ -]?([0-9]{1,3})[ -]?(left|right|both|[lrb])?(?![a-z0-9])|([0-9]{1,2})[x×]([0-9]{1,3})(?![0-9])|([0-9]{1,4}) ?s(?:ec)?(?![a-z])|([0-9])\/d(?:ay)?(?![a-z])|([0-9])\/w(?:eek)?(?![a-z])|[^\s,;]+/gi;
    while ((part = one.exec(String(text).slice(0, 400)))) {
      var last = found[found.length - 1];
      if (part[1]) {
        var side = { l: "left", r: "right", b: "turn" }[(part[3] || "").charAt(0).toLowerCase()] || "none";
        found.push({ code: part[1].toLowerCase() + "-" + ("0" + part[2]).slice(part[2].length < 2 ? -2 : -part[2].length), side: side, changes: {}, typed: part[0].trim() });
      } else if (!last || !(part[4] || part[6] || part[7] || part[8])) rest.push(part[0]);
      else if (part[4]) { last.changes.sets = +part[4]; last.changes.repetitions = +part[5]; }
      else if (part[6]) last.changes.hold = +part[6];
      else if (part[7]) last.changes.times_a_day = +part[7];
      else last.changes.days_a_week = +part[8];
    }
    return { picks: found, rest: rest };
  };

  L.write = function (plan) {
    var parts = ["1", "w" + plan.weeks];
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
      catch (error) { return false; }
    },
    handOver: function (on) {
      try {
        if (on) sessionStorage.setItem(KEY + ".handed", sessionStorage.getItem(KEY) || "");
        else sessionStorage.removeItem(KEY + ".handed");
      } catch (error) { /* nothing is kept, so nothing is handed on */ }
    },
    get: function () {
      try { return L.read(sessionStorage.getItem(KEY) || "").plan || { picks: [], weeks: 6, stop: [] }; }
      catch (error) { return { picks: [], weeks: 6, stop: [] }; }
    },
    set: function (plan) {
      try {
        if (plan.picks.length) sessionStorage.setItem(KEY, L.write(plan));
        else sessionStorage.removeItem(KEY);
        return true;
      } catch (error) { return false; }
    },
  };
  L.most = MOST;
})();
