/* Making a plan: for how long, on which days, until when, with which notes; and handing it over as a link, a code to scan,
   a message, lines for the record, on paper. */
(function () {
  "use strict";
  /** @type {Limberleaf} */
  var L = window.limberleaf, M = L.maker, el = L.el, say = L.say, asked = "";

  M.givePart = function () {
    return el("div", { class: "make-give" },
      el("p", { class: "total", text: totalWords() }),
      weeksPart(),
      whenPart(),
      M.remarkPart(),
      linkPart(),
      textPart("make-notes", say("plan.make.notes"), say("plan.make.copy_notes"), L.notes(M.found, address()).join("\n")),
      textPart("make-message", say("plan.make.message"), say("plan.make.copy_message"), L.message(address())),
      el("p", { class: "hint", text: say("plan.make.draft") }),
      el("p", { class: "tools" }, el("button", { type: "button", id: "make-clear", onclick: M.clear, text: say("plan.make.clear") })));
  };

  function address() { return L.planAddress(L.write(M.plan)); }

  function totalWords() {
    return L.capital(say("plan.day_total", { time: L.about(M.found.day) })) + ".";
  }

  /* --- when, and what to say --- */

  function weeksPart() {
    var select = el("select", { id: "make-weeks", onchange: function () { M.plan.weeks = +select.value; M.refresh(); } });
    var choices = [1, 2, 3, 4, 6, 8, 10, 12, 16, 20, 26, 39, 52];
    if (choices.indexOf(M.plan.weeks) < 0) choices.push(M.plan.weeks);
    choices.sort(function (a, b) { return a - b; }).forEach(function (number) {
      select.appendChild(el("option", { value: number, text: String(number) }));
    });
    select.value = M.plan.weeks;
    return el("p", { class: "field" }, el("label", { for: "make-weeks", text: say("plan.make.weeks") }), select);
  }

  function whenPart() {
    var filled = M.plan.days.length || M.plan.review || M.plan.notes.length;
    var part = el("details", { id: "make-when", open: "when" in M.opened ? M.opened.when : !!filled },
      el("summary", { text: say("plan.make.when") }), daysPart(), reviewPart(), notesPart());
    part.addEventListener("toggle", function () { M.opened.when = part.open; });
    return part;
  }

  function box(id, on, words, act) {
    return el("label", { class: "tick-field" }, el("input", { type: "checkbox", id: id, checked: on, onchange: act }), el("span", { text: words }));
  }

  /* Take a value out of a list, or put it in. */
  function turned(list, value) {
    return list.indexOf(value) < 0 ? list.concat(value).sort() : list.filter(function (one) { return one !== value; });
  }

  function daysPart() {
    return el("fieldset", { class: "make-days" },
      el("legend", { text: say("plan.make.days") }),
      el("p", { class: "hint", text: say("plan.make.days_words") }),
      L.data.days.map(function (name, at) {
        return box("make-day-" + (at + 1), M.plan.days.indexOf(at + 1) >= 0, name, function () {
          M.plan.days = turned(M.plan.days, at + 1);
          M.refresh();
        });
      }));
  }

  function reviewPart() {
    var input = el("input", { type: "date", id: "make-review", value: M.plan.review, min: "2000-01-01", max: "2099-12-31" });
    var words = el("span", { class: "hint", text: dayWords() }), late = el("div", { role: "status" }), going = false;
    function tell() {
      words.textContent = dayWords();
      late.textContent = "";
      late.appendChild(lateWords());
    }
    /* While a year is typed the field passes through years such as 0002: the page is not drawn again under the fingers. */
    input.addEventListener("input", function () {
      var day = /^20/.test(input.value) && L.isDay(input.value) ? input.value : "";
      if (day === M.plan.review) return;
      M.plan.review = day;
      tell();
      L.draft.set(M.plan);
      M.remember(going);
      going = true;
      newAddress();
    });
    input.addEventListener("blur", function () { going = false; });
    tell();
    return el("div", {}, el("p", { class: "field" }, el("label", { for: "make-review", text: say("plan.make.review") }), input, " ", words), late);
  }

  /* Say that the weeks of a plan begun today are over before the day of its review, or that the day is past. */
  function lateWords() {
    var review = M.plan.review, weeks = review ? L.weeksUntil(review, L.today()) : 0, end = M.plan.weeks;
    if (!review || (weeks <= end && review >= L.today())) return document.createTextNode("");
    if (review < L.today()) return el("p", { class: "plan-note", text: say("plan.make.review_past") });
    return el("p", { class: "plan-note" }, say("plan.make.ends_before", { n: end, number: end }) + " ",
      weeks > L.data.weeks.most ? null : el("button", { type: "button", id: "make-longer", onclick: function () {
        M.plan.weeks = weeks;
        M.refresh("make-review", L.capital(say("plan.weeks", { n: weeks, number: weeks })) + ".");
      }, text: L.capital(say("plan.weeks", { n: weeks, number: weeks })) }));
  }

  function dayWords() { return M.plan.review ? L.dayWords(M.plan.review) : ""; }

  /* Put the plan's new address into all that is handed over, and leave the rest of the page as it is. */
  function newAddress() {
    var place = document.querySelector(".make-qr");
    document.getElementById("make-link").value = address();
    document.getElementById("make-notes").value = L.notes(M.found, address()).join("\n");
    document.getElementById("make-message").value = L.message(address());
    document.getElementById("make-see").setAttribute("href", "#" + L.write(M.plan));
    document.getElementById("make-handed").hidden = !L.draft.handed();
    document.getElementById("make-link-said").textContent = place.textContent = "";
    if (document.getElementById("make-scan").open) drawCode(place);
  }

  function notesPart() {
    var names = Object.keys(L.data.notes).sort();
    if (!names.length) return null;
    return el("fieldset", { class: "make-days" },
      el("legend", { text: say("plan.make.to_patient", { number: L.mostNotes }) }),
      names.map(function (name) {
        return box("make-" + name, M.plan.notes.indexOf(name) >= 0, L.data.notes[name], function () {
          var notes = turned(M.plan.notes, name);
          if (notes.length > L.mostNotes) M.refresh(null, say("plan.make.full_notes", { number: L.mostNotes }));
          else { M.plan.notes = notes; M.refresh(); }
        });
      }));
  }

  /* --- handing it over --- */

  function linkPart() {
    var fragment = L.write(M.plan), link = el("textarea", { id: "make-link", readonly: true, rows: 4, dir: "ltr" });
    link.value = address();
    L.foot("");
    return el("section", { class: "make-link" },
      el("h2", { text: say("plan.make.link_title") }),
      scanPart(),
      el("label", { for: "make-link", text: say("plan.make.link") }), link,
      el("p", { class: "tools" },
        el("button", { type: "button", class: "main", id: "make-copy", text: say("plan.make.copy"), onclick: M.copyLink }),
        el("span", { id: "make-link-said", class: "said", role: "status" }),
        navigator.share ? el("button", { type: "button", id: "make-share", text: say("plan.make.share"), onclick: share }) : null,
        el("a", { class: "button", id: "make-see", href: "#" + fragment, text: say("plan.make.see") }),
        el("button", { type: "button", id: "make-print", text: say("plan.make.print"), onclick: function () { print("whole"); } }),
        el("button", { type: "button", id: "make-print-short", text: say("plan.make.print_short"), onclick: function () { print("short"); } })),
      el("p", { class: "tools", id: "make-handed", hidden: !L.draft.handed() }, say("plan.make.handed") + " ",
        el("button", { type: "button", id: "make-new", text: say("plan.new"), onclick: M.clear })));
  }

  M.copyLink = function () { if (sideChosen()) copy("make-link"); };

  function share() {
    if (!sideChosen()) return;
    navigator.share({ title: say("plan.title"), url: address() }).then(handedOver, function () { /* closed by the reader */ });
  }

  function print(how) {
    if (!sideChosen()) return;
    L.draft.handOver(true);
    L.printNext = how;
    location.hash = L.write(M.plan);
  }

  /* The plan was copied, shared or printed: it belongs to somebody now. */
  function handedOver() {
    L.draft.handOver(true);
    document.getElementById("make-handed").hidden = false;
  }

  /* The code to scan is drawn when it is asked for: its script weighs as much as the rest of this part. */
  function drawCode(place) {
    (L.qr ? Promise.resolve(true) : L.script(L.data.scripts.qr)).then(function (came) {
      var drawn = came && L.qr(address());
      if (drawn && !place.firstChild) place.appendChild(drawn);
    });
  }

  function scanPart() {
    var place = el("div", { class: "make-qr", role: "img", "aria-label": say("plan.scan") });
    var part = el("details", { id: "make-scan", open: !!M.opened.scan }, el("summary", { text: say("plan.scan") }), place);
    function draw() {
      M.opened.scan = part.open;
      if (part.open && !place.firstChild) drawCode(place);
    }
    part.addEventListener("toggle", draw);
    if (part.open) draw();
    return part;
  }

  /* A text to copy, folded away until it is wanted. */
  function textPart(id, title, words, text) {
    var area = el("textarea", { id: id, readonly: true, rows: Math.min(text.split("\n").length + 2, 12), dir: "auto", "aria-label": title });
    var part = el("details", { open: M.opened[id] !== false }, el("summary", { text: title }), area,
      el("p", { class: "tools" }, el("button", { type: "button", id: id.replace("make-", "make-copy-"), text: words, onclick: function () { copy(id); } }),
        el("span", { id: id + "-said", class: "said", role: "status" })));
    area.value = text;
    part.addEventListener("toggle", function () { M.opened[id] = part.open; });
    return part;
  }

  /* Ask once for a side that nobody chose, and for days that are too few; the second press goes on as it is. */
  function sideChosen() {
    var at = M.plan.picks.findIndex(function (pick) {
      var one = M.chosenOf(pick);
      return one && one.exercise.sides === "one" && pick.side === "none";
    });
    var link = L.write(M.plan), days = L.dayRemarks(M.found)[0];
    if (asked === link || (at < 0 && !days)) return true;
    asked = link;
    M.said.textContent = (at < 0 ? say("plan.remarks." + days.code, days.values) : say("plan.make.side_first", { code: L.code(M.plan.picks[at].code) })) +
      " " + say("plan.make.again");
    if (at >= 0 && document.activeElement.id !== "make-code") document.getElementById("pick-" + at + "-left").focus();
    return false;
  }

  function copy(id) {
    var area = document.getElementById(id);
    function done(ok) {
      if (ok && id !== "make-notes") handedOver();
      var said = document.activeElement.id === "make-code" ? M.said : document.getElementById(id + "-said");
      said.textContent = say(ok ? "plan.make.copied" : "plan.make.not_copied");
    }
    function old() {
      area.focus();
      area.select();
      try { return document.execCommand("copy"); } catch { return false; }
    }
    if (navigator.clipboard && window.isSecureContext) {
      navigator.clipboard.writeText(area.value).then(function () { done(true); }, function () { done(old()); });
    } else done(old());
  }
})();
