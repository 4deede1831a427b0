/* Making a plan: side, dose, order, what to stop, and the link. The draft lives in this tab only (sessionStorage). */
(function () {
  "use strict";
  var L = window.limberleaf, el = L.el, say = L.say;
  var FIELDS = ["sets", "repetitions", "duration", "hold", "rest", "times_a_day", "days_a_week"];
  var body, plan, found, said, offered = {}, opened = {}, asked = "";

  L.make = function (into) {
    body = into;
    plan = L.draft.get();
    offered = {};
    plan.stop.forEach(function (code) { offered[code] = true; });
    refresh();
  };

  /* Look the plan up again and draw the page again; keep the focus where it was, or put it on `focus`. */
  function refresh(focus, words) {
    var at = focus || (document.activeElement && body.contains(document.activeElement) && document.activeElement.id);
    return L.resolve(plan).then(function (now) {
      found = now;
      return offerStops() ? L.resolve(plan) : now;
    }).then(function (now) {
      found = now;
      found.remarks = renewed(now.remarks);
      now.chosen.forEach(function (one) { one.pick.version = one.exercise.version; });
      L.draft.set(plan);
      draw();
      var place = at && document.getElementById(at);
      if (place) place.focus();
      if (words) said.textContent = words;
    });
  }

  /* A plan being made has the words of today. One that was opened from a link says what is new since it was made. */
  function renewed(remarks) {
    var list = remarks.filter(function (one) { return one.code !== "changed" && one.code !== "newer"; });
    found.chosen.forEach(function (one) {
      var old = L.opened && L.opened.picks.filter(function (pick) { return pick.code === one.pick.code; })[0];
      if (!old) return;
      if (old.made === undefined) old.made = old.version;
      if (old.made < one.exercise.version) list.push({ code: "renewed", values: { code: L.code(one.pick.code), day: one.exercise.reviewed } });
    });
    return list;
  }

  function draw() {
    said = el("p", { class: "said", role: "status" });
    body.textContent = "";
    var any = plan.picks.length > 0;
    L.put(body,
      any ? null : el("p", { class: "aim", text: say("plan.make.empty") }),
      any ? null : el("p", { text: say("plan.make.patient") }),
      codeForm(),
      said);
    if (!any) { L.foot(""); return; }
    body.appendChild(el("div", { class: "make-grid" },
      el("div", {},
        remarkPart(),
        el("h2", { text: say("plan.make.list") }),
        el("ol", { class: "make-list" }, plan.picks.map(pickCard)),
        stopPart()),
      el("div", { class: "make-give" },
        el("p", { class: "total", text: totalWords() }),
        weeksPart(),
        linkPart(),
        notesPart(),
        el("p", { class: "hint", text: say("plan.make.draft") }),
        el("p", { class: "tools" }, el("button", { type: "button", id: "make-clear", onclick: clear, text: say("plan.make.clear") })))));
  }

  /* --- adding --- */

  function codeForm() {
    var input = el("input", {
      id: "make-code", type: "text", autocomplete: "off", autocapitalize: "none", spellcheck: "false", maxlength: "2000",
      placeholder: say("plan.make.code_hint"),
    });
    return el("form", { class: "make-add", onsubmit: function (event) {
      event.preventDefault();
      var whole = L.read(input.value.replace(/^[^#]*#/, "")), typed = L.typed(input.value);
      if (whole.plan) { L.change(whole.plan); return; }
      if (typed.rest.length || !typed.picks.length) {
        said.textContent = say("plan.make.unknown", { code: (typed.rest[0] || input.value).slice(0, 12) });
        return;
      }
      Promise.all(typed.picks.map(function (one) { return L.load(one.code); })).then(function (exercises) {
        var at = exercises.findIndex(function (one) { return !one || !one.texts; });
        if (at >= 0) said.textContent = say("plan.make.unknown", { code: typed.picks[at].typed });
        else addAll(typed.picks, exercises);
      });
    } },
      el("label", { for: "make-code", text: say("plan.make.code") }), input,
      el("button", { type: "submit", text: say("plan.make.add") }));
  }

  /* Add what was typed, all or up to the first that cannot be added; say what became of each. */
  function addAll(typed, exercises) {
    var words = [];
    typed.forEach(function (one, i) { words.push(addPick(one, exercises[i])); });
    refresh("make-code", words.join(" "));
  }

  function addPick(typed, exercise) {
    var code = typed.code, refused;
    if (plan.picks.length >= L.most) return say("plan.make.full", { number: L.most });
    var before = plan.picks.length ? plan.picks[plan.picks.length - 1].side : "none";
    var side = exercise.sides !== "one" ? "none" : typed.side !== "none" ? typed.side : before;
    if (taken(code, side) && typed.side === "none") side = "none";
    if (taken(code, side)) return say("plan.make.twice", { code: L.code(code) });
    var pick = { code: code, side: side, version: exercise.version, changes: typed.changes, star: false };
    refused = L.doseOf(pick, exercise).refused;
    var tried = refused.map(function (name) { return say("plan.make.fields." + name) + " " + pick.changes[name]; }).join(", ");
    refused.forEach(function (name) { delete pick.changes[name]; });
    plan.picks.push(pick);
    return say("plan.add.added") + ": " + exercise.texts.none.title + "." +
      (tried ? " " + say("plan.make.refused", { code: L.code(code), typed: tried }) : "");
  }

  /* Tell whether the plan has the exercise, for a side or for any. */
  function taken(code, side) {
    return plan.picks.some(function (one) { return one.code === code && (!side || one.side === side); });
  }

  /* --- the list --- */

  function chosenOf(pick) { return found.chosen.filter(function (one) { return one.pick === pick; })[0]; }
  function titleOf(pick) { var one = chosenOf(pick); return one ? one.exercise.texts.none.title : L.code(pick.code); }

  function pickCard(pick, at) {
    var one = chosenOf(pick), id = "pick-" + at;
    return el("li", { class: "make-card" },
      el("div", { class: "make-head" },
        one ? el("img", { src: L.root + one.exercise.thumb, alt: "", width: 120, height: 90 }) : null,
        el("div", {},
          el("h3", {}, el("span", { class: "number", text: String(at + 1) }), " ",
            one ? el("a", { href: L.href(one.text.href), text: titleOf(pick) }) : titleOf(pick)),
          el("p", { class: "facts-line" }, el("span", { class: "code", text: L.code(pick.code) }),
            one ? " " + one.exercise.position + " · " + L.timeNeeded(one.dose, one.sides) : ""))),
      one && one.exercise.sides === "one" ? sidePart(pick, id) : null,
      one ? dosePart(pick, one, id) : null,
      el("div", { class: "make-tools" },
        el("label", { class: "star" },
          el("input", { type: "checkbox", id: id + "-star", checked: pick.star, onchange: function () { star(pick); } }),
          el("span", { text: say("plan.make.star") })),
        tool("up", "↑", function () { move(at, -1); }, at === 0),
        tool("down", "↓", function () { move(at, 1); }, at === plan.picks.length - 1),
        tool("remove", say("plan.make.remove"), function () { remove(at); })));

    function tool(name, text, act, off) {
      return el("button", {
        type: "button", id: id + "-" + name, onclick: act, disabled: !!off, text: text,
        "aria-label": say("plan.make." + name) + ": " + titleOf(pick),
      });
    }
  }

  function sidePart(pick, id) {
    return el("fieldset", { class: "make-side" + (pick.side === "none" ? " missing" : "") },
      el("legend", { text: say("plan.make.side") }),
      ["left", "right", "turn"].map(function (side) {
        return el("label", {},
          el("input", {
            type: "radio", name: id + "-side", id: id + "-" + side, checked: pick.side === side,
            onchange: function () { setSide(pick, side); },
          }),
          el("span", { text: say("plan.make.sides." + side) }));
      }));
  }

  function setSide(pick, side) {
    if (taken(pick.code, side)) refresh(null, say("plan.make.twice", { code: L.code(pick.code) }));
    else { pick.side = side; refresh(); }
  }

  function dosePart(pick, one, id) {
    var own = one.exercise.dose, key = pick.code + pick.side;
    var part = el("details", { open: key in opened ? opened[key] : window.innerWidth >= 1000 },
      el("summary", { id: id + "-dose" }, el("b", { text: say("plan.make.dose") + " " }), L.spoken(one.dose, one.sides)));
    part.addEventListener("toggle", function () { opened[key] = part.open; });
    L.put(part, el("div", { class: "make-dose" }, FIELDS.filter(function (name) { return one.exercise.choices[name]; }).map(function (name) {
      var written = name === "repetitions" && own.most ? [1, own.most] : own[name];
      var select = el("select", { id: id + "-" + name, onchange: function () {
        if (select.value) pick.changes[name] = +select.value;
        else delete pick.changes[name];
        refresh();
      } });
      var usual = written ? amount(name, written) : say("dose.every_hour");
      select.appendChild(el("option", { value: "", text: say("plan.make.as_written", { number: usual }) }));
      one.exercise.choices[name].forEach(function (number) {
        if (written && written[0] === number && written[1] === number) return;
        select.appendChild(el("option", { value: number, text: amount(name, [number, number]) }));
      });
      select.value = pick.changes[name] || "";
      return el("p", {}, el("label", { for: id + "-" + name, text: say("plan.make.fields." + name) }), select);
    })));
    return part;
  }

  function amount(name, pair) {
    return name === "hold" || name === "rest" || name === "duration" ? L.time(pair) : L.number(pair);
  }

  function move(at, by) {
    var pick = plan.picks.splice(at, 1)[0];
    plan.picks.splice(at + by, 0, pick);
    var end = at + by === 0 || at + by === plan.picks.length - 1;
    refresh("pick-" + (at + by) + (by < 0 !== end ? "-up" : "-down"), say("plan.make.moved", { title: titleOf(pick), number: at + by + 1 }));
  }

  function remove(at) {
    var title = titleOf(plan.picks[at]);
    plan.picks.splice(at, 1);
    refresh(plan.picks.length ? "pick-" + Math.min(at, plan.picks.length - 1) + "-remove" : "make-code", say("plan.make.removed", { title: title }));
  }

  function star(pick) {
    var on = !pick.star;
    plan.picks.forEach(function (one) { one.star = false; });
    pick.star = on;
    refresh();
  }

  /* Begin again with an empty plan; the one before can be had back. */
  function clear() {
    var before = plan;
    plan = { picks: [], weeks: L.data.weeks.usual, stop: [] };
    offered = {};
    L.draft.handOver(false);
    refresh("make-code", say("plan.make.cleared") + " ").then(function () {
      said.appendChild(el("button", { type: "button", id: "make-undo", text: say("plan.make.undo"), onclick: function () {
        plan = before;
        plan.stop.forEach(function (code) { offered[code] = true; });
        refresh("make-code", say("plan.make.undone"));
      } }));
    });
  }

  /* The plan was copied, shared or printed: it belongs to somebody now. */
  function handedOver() {
    L.draft.handOver(true);
    var place = document.getElementById("make-handed");
    if (place) place.hidden = false;
  }

  /* --- what the clinician has to know --- */

  function remarkPart() {
    var list = found.remarks.slice(), count = plan.picks.length, size = L.data.size;
    if (count >= size.many) list.push({ code: count >= size.too_many ? "too_many" : "many", values: { number: count } });
    replaced().filter(function (code) { return taken(code); }).forEach(function (code) { list.push({ code: "also_stopped", values: { code: L.code(code) } }); });
    var better = L.order(found.chosen);
    var note = L.remarks(list);
    var order = better ? el("p", { class: "plan-note" }, say("plan.remarks.order") + " ",
      el("button", { type: "button", id: "make-order", text: say("plan.make.order"), onclick: function () {
        var rest = plan.picks.filter(function (pick) { return !chosenOf(pick); });
        plan.picks = better.map(function (one) { return one.pick; }).concat(rest);
        refresh("pick-0-down", say("plan.make.ordered"));
      } })) : null;
    return el("div", {}, note, order);
  }

  /* Give a better order, or null: twin of generator/plan/order.py. */
  L.order = function (chosen) {
    function place(one) { return one.exercise.place[1]; }
    function travel(list) {
      return list.reduce(function (sum, one, i) { return sum + (i && Math.abs(one.exercise.place[0] - list[i - 1].exercise.place[0])); }, 0);
    }
    var down = chosen.slice().sort(function (a, b) { return place(a) - place(b); });
    var up = chosen.slice().sort(function (a, b) { return place(b) - place(a); });
    var better = down.indexOf(chosen[0]) <= up.indexOf(chosen[0]) ? down : up;
    return travel(better) < travel(chosen) ? better : null;
  };

  function replaced() {
    var codes = [];
    found.chosen.forEach(function (one) {
      one.exercise.replaces.forEach(function (code) { if (codes.indexOf(code) < 0) codes.push(code); });
    });
    return codes;
  }

  /* Tick what the ladders say to stop, once; what is in the plan is never stopped. True when anything changed. */
  function offerStops() {
    var before = plan.stop.join();
    plan.stop = plan.stop.filter(function (code) { return !taken(code); });
    replaced().forEach(function (code) {
      if (offered[code] || taken(code) || plan.stop.length >= L.most) return;
      offered[code] = true;
      if (plan.stop.indexOf(code) < 0) plan.stop.push(code);
    });
    return plan.stop.join() !== before;
  }

  function stopPart() {
    var codes = replaced().filter(function (code) { return !taken(code); });
    plan.stop.forEach(function (code) { if (codes.indexOf(code) < 0) codes.push(code); });
    if (!codes.length) return null;
    return el("fieldset", { class: "make-stop" },
      el("legend", { text: say("plan.make.stop_title") }),
      el("p", { class: "hint", text: say("plan.make.stop_words") }),
      codes.map(function (code) {
        var label = el("span", { text: L.code(code) });
        L.load(code).then(function (exercise) {
          if (exercise && exercise.texts) label.textContent = L.code(code) + " " + exercise.texts.none.title;
        });
        return el("label", {}, el("input", {
          type: "checkbox", id: "stop-" + code, checked: plan.stop.indexOf(code) >= 0, onchange: function () {
            var at = plan.stop.indexOf(code);
            if (at < 0) plan.stop.push(code);
            else plan.stop.splice(at, 1);
            refresh();
          },
        }), label);
      }));
  }

  function weeksPart() {
    var select = el("select", { id: "make-weeks", onchange: function () { plan.weeks = +select.value; refresh(); } });
    var choices = [1, 2, 3, 4, 6, 8, 10, 12, 16, 20, 26, 39, 52];
    if (choices.indexOf(plan.weeks) < 0) choices.push(plan.weeks);
    choices.sort(function (a, b) { return a - b; }).forEach(function (number) {
      select.appendChild(el("option", { value: number, text: String(number) }));
    });
    select.value = plan.weeks;
    return el("p", { class: "field" }, el("label", { for: "make-weeks", text: say("plan.make.weeks") }), select);
  }

  function totalWords() {
    var words = say("plan.day_total", { time: L.about(found.day) });
    return words.charAt(0).toUpperCase() + words.slice(1) + ".";
  }

  /* --- handing it over --- */

  function linkPart() {
    var fragment = L.write(plan), address = L.planAddress(fragment);
    var box = el("textarea", { id: "make-link", readonly: true, rows: 4, dir: "ltr" });
    box.value = address;
    L.foot("");
    return el("section", { class: "make-link" },
      el("h2", { text: say("plan.make.link_title") }),
      scanPart(address),
      el("label", { for: "make-link", text: say("plan.make.link") }), box,
      el("p", { class: "tools" },
        el("button", { type: "button", class: "main", id: "make-copy", text: say("plan.make.copy"), onclick: function () { if (sideChosen()) copy(box); } }),
        navigator.share ? el("button", { type: "button", id: "make-share", text: say("plan.make.share"), onclick: function () {
          if (!sideChosen()) return;
          navigator.share({ title: say("plan.title"), url: address }).then(handedOver, function () { /* closed by the reader */ });
        } }) : null,
        el("a", { class: "button", id: "make-see", href: "#" + fragment, text: say("plan.make.see") }),
        el("button", { type: "button", id: "make-print", text: say("plan.make.print"), onclick: function () {
          if (!sideChosen()) return;
          L.draft.handOver(true);
          L.printNext = true;
          location.hash = fragment;
        } })),
      el("p", { class: "tools", id: "make-handed", hidden: !L.draft.handed() }, say("plan.make.handed") + " ",
        el("button", { type: "button", id: "make-new", text: say("plan.new"), onclick: clear })));
  }

  /* The code to scan is drawn when it is asked for: its script weighs as much as the rest of this part. */
  function scanPart(address) {
    var place = el("div", { class: "make-qr", role: "img", "aria-label": say("plan.scan") });
    var part = el("details", { id: "make-scan", open: !!opened.scan }, el("summary", { text: say("plan.scan") }), place);
    function draw() {
      opened.scan = part.open;
      if (!part.open || place.firstChild) return;
      (L.qr ? Promise.resolve(true) : L.script(L.data.scripts.qr)).then(function (came) {
        var drawn = came && L.qr(address);
        if (drawn && !place.firstChild) place.appendChild(drawn);
      });
    }
    part.addEventListener("toggle", draw);
    if (part.open) draw();
    return part;
  }

  function notesPart() {
    var lines = L.notes(found, L.planAddress(L.write(plan)));
    var box = el("textarea", { id: "make-notes", readonly: true, rows: Math.min(lines.length + 2, 12), dir: "auto" });
    box.value = lines.join("\n");
    return el("section", { class: "make-notes" },
      el("h2", {}, el("label", { for: "make-notes", text: say("plan.make.notes") })), box,
      el("p", { class: "tools" },
        el("button", { type: "button", id: "make-copy-notes", text: say("plan.make.copy_notes"), onclick: function () { copy(box); } })));
  }

  /* Ask once for a side that nobody chose; the second press goes on without. */
  function sideChosen() {
    var at = plan.picks.findIndex(function (pick) {
      var one = chosenOf(pick);
      return one && one.exercise.sides === "one" && pick.side === "none";
    });
    var link = L.write(plan);
    if (at < 0 || asked === link) return true;
    asked = link;
    said.textContent = say("plan.make.side_first", { code: L.code(plan.picks[at].code) });
    document.getElementById("pick-" + at + "-left").focus();
    return false;
  }

  function copy(box) {
    function done(ok) {
      if (ok && box.id === "make-link") handedOver();
      said.textContent = say(ok ? "plan.make.copied" : "plan.make.not_copied");
    }
    function old() {
      box.focus();
      box.select();
      try { return document.execCommand("copy"); } catch (error) { return false; }
    }
    if (navigator.clipboard && window.isSecureContext) {
      navigator.clipboard.writeText(box.value).then(function () { done(true); }, function () { done(old()); });
    } else done(old());
  }

  /* Give the lines for the clinical record: twin of generator/plan/notes.py. */
  L.notes = function (found, link) {
    var plan = found.plan, known = {};
    function span(pair) { return pair[0] === pair[1] ? String(pair[0]) : pair[0] + "-" + pair[1]; }
    var lines = [say("plan.notes.head", { n: plan.weeks, number: plan.weeks })];
    found.chosen.forEach(function (one) {
      var pick = one.pick, dose = one.dose, sets = dose.sets || [1, 1], amount;
      known[pick.code] = true;
      var parts = [L.code(pick.code) + " v" + pick.version + " " + one.exercise.texts.none.title];
      if (one.exercise.sides === "one") parts.push(say("plan.notes.sides." + pick.side));
      else if (one.exercise.sides === "each") parts.push(say("plan.notes.sides.turn"));
      if (dose.duration) amount = say("plan.notes.seconds", { number: span(dose.duration) });
      else if (dose.most) amount = say("plan.notes.most", { number: dose.most });
      else amount = span(dose.repetitions || [1, 1]);
      parts.push(span(sets) + " x " + amount);
      if (dose.hold && dose.hold[1]) parts.push(say("plan.notes.hold", { number: span(dose.hold) }));
      if (L.hasRest(dose)) parts.push(say("plan.notes.rest", { number: span(dose.rest) }));
      if (dose.every && !dose.times_a_day) {
        parts.push(say("plan.notes.every", { number: span([Math.floor(dose.every[0] / 60), Math.floor(dose.every[1] / 60)]) }));
      } else parts.push(say("plan.notes.times_a_day", { number: span(L.totals(dose, one.sides).times_a_day) }));
      parts.push(say("plan.notes.days_a_week", { number: span(dose.days_a_week) }));
      if (pick.star) parts.push(say("plan.notes.star"));
      lines.push(parts.join(", "));
    });
    plan.picks.forEach(function (pick) {
      if (!known[pick.code]) lines.push(say("plan.notes.missing", { code: L.code(pick.code) }));
    });
    if (found.stop.length) {
      lines.push(say("plan.notes.stop", { exercises: found.stop.map(function (one) { return (L.code(one.code) + " " + one.title).trim(); }).join(", ") }));
    }
    lines.push(say("plan.notes.link", { link: link }));
    return lines;
  };
})();
