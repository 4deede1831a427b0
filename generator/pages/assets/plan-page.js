/* What the plan page and the follow-along page share: building elements, loading exercises, looking a plan up.
   Everything shown is set as text; nothing from a link becomes markup. */
(function () {
  "use strict";
  /** @type {Limberleaf} */
  var L = window.limberleaf, host = document.getElementById("plan") || document.getElementById("follow");
  var root = (L.root = host.dataset.root), exercises = {}, asked = {};

  /* Make an element: `given` holds attributes, listeners (on...: function) and `text`; the rest are children. */
  L.el = function (tag, given) {
    var element = document.createElement(tag), key;
    for (key in given) {
      if (key === "text") element.textContent = given[key];
      else if (typeof given[key] === "function") element.addEventListener(key.slice(2), given[key]);
      else if (given[key] === true) element.setAttribute(key, "");
      else if (given[key] !== false && given[key] !== null && given[key] !== undefined) element.setAttribute(key, given[key]);
    }
    for (var i = 2; i < arguments.length; i++) add(element, arguments[i]);
    return element;
  };
  function add(element, child) {
    if (Array.isArray(child)) child.forEach(function (one) { add(element, one); });
    else if (child) element.appendChild(typeof child === "string" ? document.createTextNode(child) : child);
  }
  var el = L.el;

  L.href = function (address) { return /^tel:/.test(address) ? address : root + address; };

  /* Turn runs of text and [words, address] into nodes. */
  L.rich = function (runs) {
    return runs.map(function (run) {
      if (typeof run === "string") return document.createTextNode(run);
      return el("a", { href: L.href(run[1]), text: run[0] });
    });
  };
  L.list = function (tag, items, cls, own) {
    return el(tag, Object.assign({ class: cls || null }, own), items.map(function (item) { return el("li", {}, L.rich(item)); }));
  };
  L.icon = function (name) {
    var kept = document.getElementById("icon-" + name);
    return kept ? kept.content.cloneNode(true) : null;
  };

  /* The signs beside a panel: to stay there, with the time of this plan, and to keep breathing. */
  L.signs = function (names, dose) {
    var words = L.blanks(dose);
    return (names || []).map(function (name) {
      var kept = document.getElementById("sign-" + name), time = words.hold;
      if (!kept || (name === "hold" && !time)) return null;
      return el("span", name === "hold" ? { class: "sign", role: "img", "aria-label": L.say("dose.hold_once", { time: time }) } : { class: "sign" },
        el("span", { class: "sign-picture", "aria-hidden": "true" }, kept.content.cloneNode(true)), " ", name === "hold" ? time : kept.dataset.words);
    });
  };

  /* Load a script of our own; true when it came. */
  L.script = function (address) {
    return new Promise(function (resolve) {
      document.head.appendChild(el("script", {
        src: root + address,
        onload: function () { resolve(true); },
        onerror: function () { resolve(false); },
      }));
    });
  };

  window.limberleafExercise = function (code, exercise) { exercises[code] = exercise; };

  /* Give an exercise by its code, or null when there is none; only codes of the library are ever asked for. */
  L.load = function (code) {
    if (L.data.codes.indexOf(code) < 0 && L.data.foreign.indexOf(code) < 0) return Promise.resolve(null);
    if (L.data.codes.indexOf(code) < 0) return (asked[code] = asked[code] || inMain(code));
    if (!asked[code]) {
      asked[code] = L.script(L.data.plan.replace(/plan\/$/, "") + code + "/plan.js").then(function () { return exercises[code] || null; });
    }
    return asked[code];
  };

  /* Give an exercise that is not in the page's language in the clinic's main one. */
  function inMain(code) {
    var main = L.data.main;
    if (!main) return Promise.resolve({ foreign: true });
    return Promise.all([
      L.languages[main.language] ? true : L.script(main.data),
      L.script(main.plan.replace(/plan\/$/, "") + code + "/plan.js"),
    ]).then(function () {
      if (!exercises[code] || !L.languages[main.language]) return { foreign: true };
      return Object.assign(exercises[code], exercises[code].in && exercises[code].in[L.data.language], { main: main });
    });
  }

  /* The language of what the clinic wrote in its main one alone, as attributes; the rest is in the page's own. */
  L.foreign = function (one) { return one && one.main ? { lang: one.main.language, dir: one.main.direction } : {}; };

  /* A title with its side, in the language it is in. */
  L.named = function (one) {
    var side = one.exercise.sides === "one" && one.side !== "none" && L.say("plan.sides." + one.side);
    return L.el("span", {}, L.el("span", Object.assign({ text: one.text.title }, L.foreign(one))), side ? " (" + side + ")" : null);
  };

  /* What is not for today ("not"), or for days that the reader chooses ("free"), in words. */
  L.daysIn = function (which, list, plan) {
    return [L.say("plan.today_" + which) + " ", list.map(function (one, i) {
      return [i ? L.data.marks[1] : "", L.named(one), L.data.marks[0] + (L.ownDays(one, plan) || L.blanks(one.dose).days_a_week)];
    }), "."];
  };

  /* A place on this page in the address (to skip the navigation) is no plan: put the plan back. */
  L.jumped = function (fragment) {
    var place = document.getElementById(location.hash.slice(1));
    if (place) history.replaceState(null, "", location.pathname + location.search + (fragment ? "#" + fragment : ""));
    return place;
  };

  /* “My plan” and other languages lead to this plan. */
  L.keepPlan = function (fragment) {
    var own = el("a", { href: root + L.data.plan }).pathname;
    document.querySelectorAll("a[hreflang], .top a").forEach(function (link) {
      if (link.hreflang || link.pathname === own) link.hash = fragment;
    });
  };

  L.code = function (code) { return code.toUpperCase(); };

  /* Look a plan up: twin of generator/plan/resolve.py. Remarks for the clinician carry `clinic`. */
  L.resolve = function (plan) {
    var codes = plan.picks.map(function (pick) { return pick.code; }).concat(plan.stop);
    return Promise.all(codes.map(L.load)).then(function (found) {
      var chosen = [], remarks = [], foreign = [], day = [0, 0];
      function remark(code, values, clinic) { remarks.push({ code: code, values: values, clinic: !!clinic }); }
      plan.picks.forEach(function (pick, i) {
        var exercise = found[i], values = { code: L.code(pick.code) };
        if (!exercise || exercise.gone || exercise.foreign) {
          if (!exercise) remark("unknown", values);
          else if (exercise.foreign) remark("not_in_language", values);
          else if (exercise.after) remark("moved", { code: values.code, after: L.code(exercise.after) + " " + exercise.after_title });
          else remark("retired", values);
          return;
        }
        var own = L.doseOf(pick, exercise), sides = L.sidesOf(pick, exercise), total = L.totals(own.dose, sides);
        var side = exercise.sides === "one" ? pick.side : "none";
        if (exercise.main) foreign.push(values.code);
        chosen.push({
          main: exercise.main || null,
          pick: pick, exercise: exercise, dose: own.dose, sides: sides, side: side,
          text: L.speaking(exercise.main && exercise.main.language, function () {
            return L.filled(exercise.texts[side] || exercise.texts.none, L.blanks(own.dose));
          }),
        });
        day = [day[0] + total.day[0], day[1] + total.day[1]];
        if (pick.version < exercise.version) remark("changed", { code: values.code, day: exercise.reviewed });
        if (pick.version > exercise.version) remark("newer", values);
        if (own.refused.length) remark("dose_not_allowed", values);
        if (exercise.sides === "one" && pick.side === "none") remark("choose_side", values, true);
        if (exercise.sides !== "one" && pick.side !== "none") remark("wrong_side", values, true);
      });
      if (foreign.length) remarks.unshift({ code: "in_main_language", values: { n: foreign.length, code: L.listed(foreign), language: L.data.main.name } });
      if (plan.notes.some(function (name) { return !L.data.notes[name]; })) remark("note_gone", {});
      var known = chosen.map(function (one) { return one.pick.code; });
      var stop = [];
      plan.stop.forEach(function (code, i) {
        if (known.indexOf(code) >= 0) return;
        var exercise = found[plan.picks.length + i];
        var title = exercise && (exercise.title || (exercise.texts && exercise.texts.none.title));
        stop.push({ code: code, main: exercise && exercise.main, title: title || "", href: exercise && exercise.texts ? exercise.texts.none.href : "" });
      });
      return { plan: plan, chosen: chosen, remarks: remarks, stop: stop, day: day };
    });
  };

  /* Say in a box what is wrong with a link, with ways on. */
  L.trouble = function (code) {
    return el("section", { class: "plan-note", role: "alert" },
      el("h2", { text: L.say("plan.trouble_title") }),
      el("p", { text: L.say("plan.troubles." + code) }));
  };

  /* Merge the cautions of all chosen exercises: twin of `merged` in generator/clinical/cautions.py. */
  L.boxes = function (chosen) {
    var groups = [], ids = {};
    chosen.forEach(function (one) { one.exercise.cautions.forEach(function (id) { ids[id] = true; }); });
    L.data.cautions.forEach(function (caution) {
      if (!ids[caution[0]]) return;
      var group = groups.filter(function (one) { return one.box === caution[1]; })[0];
      if (!group) groups.push((group = { box: caution[1], cautions: [] }));
      group.cautions.push(caution);
    });
    return el("div", { class: "boxes" }, groups.map(function (group) {
      var box = L.data.boxes[group.box], single = group.cautions.length === 1;
      return el("section", { class: "box " + box[0] },
        el("h3", {}, L.icon(box[0]), el("span", {}, L.rich(single ? group.cautions[0][2] : box[1]))),
        el("div", { class: "box-in" }, single ? L.list("ul", group.cautions[0][3]) : group.cautions.map(function (one) {
          return [el("p", { class: "part" }, L.rich(one[4])), L.list("ul", one[3])];
        }), el("p", { class: "do" }, L.rich(box[2]))));
    }));
  };
})();
