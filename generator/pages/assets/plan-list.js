/* Making a plan: the cards of its exercises (side, dose, place), what the clinician has to know, what to stop. */
(function () {
  "use strict";
  /** @type {Limberleaf} */
  var L = window.limberleaf, M = L.maker, el = L.el, say = L.say;
  var FIELDS = ["sets", "repetitions", "duration", "hold", "rest", "times_a_day", "days_a_week"];

  M.card = function (pick, at) {
    var one = M.chosenOf(pick), id = "pick-" + at;
    return el("li", { class: "make-card" },
      el("div", { class: "make-head" },
        one ? el("img", { src: L.root + one.exercise.thumb, alt: "", width: 120, height: 90 }) : null,
        el("div", {},
          el("h3", {}, el("span", { class: "number", text: String(at + 1) }), " ",
            one ? el("a", { href: L.href(one.text.href), text: M.titleOf(pick) }) : M.titleOf(pick)),
          el("p", { class: "facts-line" }, el("span", { class: "code", text: L.code(pick.code) }),
            one ? " " + one.exercise.position + " · " + L.timeNeeded(one.dose, one.sides) : ""))),
      one && one.exercise.sides === "one" ? sidePart(pick, id) : null,
      one ? dosePart(pick, one, id) : null,
      el("div", { class: "make-tools" },
        el("label", { class: "star" },
          el("input", { type: "checkbox", id: id + "-star", checked: pick.star, onchange: function () { star(pick); } }),
          el("span", { text: say("plan.make.star") })),
        tool("up", "↑", function () { move(at, -1); }, at === 0),
        tool("down", "↓", function () { move(at, 1); }, at === M.plan.picks.length - 1),
        tool("remove", say("plan.make.remove"), function () { remove(at); })));

    function tool(name, text, act, off) {
      return el("button", {
        type: "button", id: id + "-" + name, onclick: act, disabled: !!off, text: text,
        "aria-label": say("plan.make." + name) + ": " + M.titleOf(pick),
      });
    }
  };

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

  /* One side for all that have one: most plans are for one knee or one shoulder. */
  M.sidesPart = function () {
    var sided = M.plan.picks.filter(function (pick) {
      var one = M.chosenOf(pick);
      return one && one.exercise.sides === "one";
    });
    if (sided.length < 2) return null;
    return el("p", { class: "make-tools" }, el("span", { text: say("plan.make.all_sides") }), ["left", "right"].map(function (side) {
      return el("button", { type: "button", id: "make-all-" + side, text: say("plan.make.sides." + side), onclick: function () {
        var left = sided.filter(function (pick) {
          if (pick.side === side) return false;
          if (M.taken(pick.code, side)) return true;
          pick.side = side;
          return false;
        }).map(function (pick) { return say("plan.make.side_left", { code: L.code(pick.code) }); });
        M.refresh(null, say(left.length ? "plan.make.other_sides" : "plan.make.all_sides") + " " + say("plan.make.sides." + side) + ". " + left.join(" "));
      } });
    }));
  };

  function setSide(pick, side) {
    if (M.taken(pick.code, side)) M.refresh(null, say("plan.make.twice", { code: L.code(pick.code) }));
    else { pick.side = side; M.refresh(); }
  }

  function dosePart(pick, one, id) {
    var own = one.exercise.dose, key = pick.code;
    var part = el("details", { open: !!M.opened[key] },
      el("summary", { id: id + "-dose" }, el("b", { text: say("plan.make.dose") + " " }), L.spoken(one.dose, one.sides)));
    part.addEventListener("toggle", function () { M.opened[key] = part.open; });
    L.put(part, el("div", { class: "make-dose" }, FIELDS.filter(function (name) { return one.exercise.choices[name]; }).map(function (name) {
      var written = name === "repetitions" && own.most ? [1, own.most] : own[name];
      var select = el("select", { id: id + "-" + name, onchange: function () {
        if (select.value) pick.changes[name] = +select.value;
        else delete pick.changes[name];
        M.refresh();
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
    var pick = M.plan.picks.splice(at, 1)[0];
    M.plan.picks.splice(at + by, 0, pick);
    var end = at + by === 0 || at + by === M.plan.picks.length - 1;
    M.refresh("pick-" + (at + by) + (by < 0 !== end ? "-up" : "-down"), say("plan.make.moved", { title: M.titleOf(pick), number: at + by + 1 }));
  }

  function remove(at) {
    var pick = M.plan.picks[at], one = M.chosenOf(pick), title = M.titleOf(pick);
    if (one && one.exercise.sides === "one") title += ", " + say("plan.notes.sides." + pick.side) + ",";
    M.plan.picks.splice(at, 1);
    if (one) unstop(one);
    M.refresh(M.plan.picks.length ? "pick-" + Math.min(at, M.plan.picks.length - 1) + "-remove" : "make-code", say("plan.make.removed", { title: title }));
  }

  /* What only this exercise takes the place of is not stopped any more. */
  function unstop(gone) {
    var still = L.replacedBy(M.found.chosen.filter(function (one) { return one !== gone; }));
    gone.exercise.replaces.forEach(function (code) {
      if (still.indexOf(code) >= 0) return;
      M.plan.stop = M.plan.stop.filter(function (stopped) { return stopped !== code; });
    });
  }

  function star(pick) {
    var on = !pick.star;
    M.plan.picks.forEach(function (one) { one.star = false; });
    pick.star = on;
    M.refresh();
  }

  /* --- what the clinician has to know --- */

  M.remarkPart = function () {
    var list = M.found.remarks.slice(), count = M.plan.picks.length, size = L.data.size;
    if (count >= size.many) list.push({ code: count >= size.too_many ? "too_many" : "many", values: { number: count } });
    L.replacedBy(M.found.chosen).filter(function (code) { return M.taken(code); }).forEach(function (code) {
      var after = M.found.chosen.filter(function (one) { return one.exercise.replaces.indexOf(code) >= 0; })[0];
      list.push({ code: "also_stopped", values: { code: L.code(code), after: L.code(after.pick.code) } });
    });
    var better = L.order(M.found.chosen), note = L.remarks(list.concat(L.dayRemarks(M.found)));
    var order = better ? el("p", { class: "plan-note" }, say("plan.remarks.order") + " ",
      el("button", { type: "button", id: "make-order", text: say("plan.make.order"), onclick: function () {
        var rest = M.plan.picks.filter(function (pick) { return !M.chosenOf(pick); });
        M.plan.picks = better.map(function (one) { return one.pick; }).concat(rest);
        M.refresh("pick-0-down", say("plan.make.ordered"));
      } })) : null;
    return el("div", {}, note, order);
  };

  /* What the ladders say is done can be ticked; nothing is stopped that nobody asked for. */
  M.stopPart = function () {
    var codes = L.replacedBy(M.found.chosen).filter(function (code) { return !M.taken(code); });
    M.plan.stop.forEach(function (code) { if (codes.indexOf(code) < 0) codes.push(code); });
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
          type: "checkbox", id: "stop-" + code, checked: M.plan.stop.indexOf(code) >= 0, onchange: function () {
            var at = M.plan.stop.indexOf(code);
            if (at < 0) M.plan.stop.push(code);
            else M.plan.stop.splice(at, 1);
            M.refresh();
          },
        }), label);
      }));
  };
})();
