/* The finder's page. It holds every exercise; this hides what does not fit and puts the best first (finder-core.js knows
   which). In order: the rows, what was chosen, showing, the state in the address after the # sign (which no browser sends
   to a server), and the keys. */
(function () {
  "use strict";

  var SHOWN = 48;
  var CHOICES = ["problem", "part", "position", "ladder", "kind"];
  /** @type {Limberleaf} */
  var L = window.limberleaf;
  var form = document.querySelector("form.finder"), ui, vocabulary, rows, counted, plural, limit = SHOWN;

  window.limberleafFinder = function (index) {
    if (!form) return;
    ui = {
      box: form.elements.q,
      hits: document.getElementById("hits"),
      more: document.querySelector(".more"),
      all: document.querySelector(".all"),
      found: form.querySelector(".found [role=status]"),
      clear: form.querySelector("[data-do=clear]"),
      narrow: form.querySelector(".narrow"),
      narrowCount: form.querySelector(".narrow-count"),
      kitCount: form.querySelector(".kit-count"),
    };
    plural = new Intl.PluralRules(document.documentElement.lang);
    counted = JSON.parse(form.dataset.found);
    rows = index.rows.map(function (raw) { return rowOf(raw, index); });
    vocabulary = L.vocabulary(index, rows.map(function (row) { return row.item.querySelector("a").textContent; }));
    listen();
    form.hidden = false;
    ui.narrow.open = window.matchMedia("(min-width: 50rem)").matches;
    read();
  };

  function rowOf(raw, index) {
    var item = document.querySelector('li[data-code="' + raw[0] + '"]');
    function pick(name) { return function (i) { return index[name][i]; }; }
    return {
      item: item, home: item.parentNode, away: false,
      part: [index.regions[raw[1]]], position: [index.positions[raw[2]]], kind: [index.kinds[raw[3]]],
      kit: raw[4].map(pick("kit")), ladder: raw[5].map(pick("ladders")), problem: raw[6].map(pick("collections")),
    };
  }

  /* --- what was chosen --- */

  function kit() {
    return Array.from(form.querySelectorAll("[name=kit]:checked"), function (one) { return one.value; });
  }

  function chosen(name) {
    var field = form.elements[name];
    return field ? field.value : "";
  }

  /* `wanted` holds what was chosen by its name; fields are asked once a letter and not once a row. */
  function fits(row, wanted, have) {
    return wanted.every(function (one) { return row[one[0]].indexOf(one[1]) >= 0; }) &&
      (!have.length || row.kit.every(function (item) { return have.indexOf(item) >= 0; }));
  }

  /* --- showing --- */

  function show() {
    var have = kit(), wanted = CHOICES.filter(chosen).map(function (name) { return [name, chosen(name)]; });
    var choices = wanted.length + (have.length ? 1 : 0);
    var result = L.search(vocabulary, ui.box.value), busy = choices > 0 || result.scores !== null;
    var order = (result.scores ? L.bestOf(result.scores) : rows.map(function (_row, at) { return at; }))
      .filter(function (at) { return fits(rows[at], wanted, have); });
    if (busy) fill(order.slice(0, limit));
    else bringHome();
    ui.hits.hidden = !busy;
    ui.all.hidden = busy;
    ui.more.hidden = !busy || order.length <= limit;
    ui.clear.hidden = !busy;
    ui.found.textContent = words(order.length, result);
    CHOICES.forEach(function (name) {
      if (form.elements[name]) form.elements[name].classList.toggle("set", !!chosen(name));
    });
    ui.narrowCount.textContent = choices ? "(" + choices + ")" : "";
    if (ui.kitCount) ui.kitCount.textContent = have.length ? "(" + have.length + ")" : "";
  }

  /* Put the best into the list of hits; only what changes place is touched, so that a long list stays quick. */
  function fill(order) {
    var kept = new Set(order), next;
    rows.forEach(function (row, at) {
      if (row.away && !kept.has(at) && row.item.parentNode === ui.hits) row.home.appendChild(row.item);
    });
    next = ui.hits.firstChild;
    order.forEach(function (at) {
      rows[at].away = true;
      if (rows[at].item === next) next = next.nextSibling;
      else ui.hits.insertBefore(rows[at].item, next);
    });
  }

  /* Every exercise back into its group, in the order of the page. */
  function bringHome() {
    var homes = new Set();
    rows.forEach(function (row) {
      if (row.away) homes.add(row.home);
      row.away = false;
    });
    rows.forEach(function (row) { if (homes.has(row.home)) row.home.appendChild(row.item); });
  }

  function words(n, result) {
    var text = !n ? form.dataset.none : (counted[plural.select(n)] || counted.other).replace("{n}", n);
    if (n && result.some) text += ". " + form.dataset.some;
    if (result.unknown.length) text += " " + form.dataset.left + " “" + result.unknown.join("”, “") + "”";
    return text;
  }

  /* --- the address --- */

  function write() {
    var state = new URLSearchParams();
    if (ui.box.value.trim()) state.set("q", ui.box.value.trim());
    CHOICES.forEach(function (name) { if (chosen(name)) state.set(name, chosen(name)); });
    if (kit().length) state.set("kit", kit().join(" "));
    var text = state.toString();
    try {
      history.replaceState(null, "", text ? "#" + text : location.pathname + location.search);
    } catch {
      /* some browsers forbid it for files on disk: the list still works, only without an address of its own */
    }
  }

  function read() {
    var raw = location.hash.slice(1);
    if (raw && raw.indexOf("=") < 0) return;
    var state = new URLSearchParams(raw || location.search.slice(1)), have = (state.get("kit") || "").split(" ");
    ui.box.value = (state.get("q") || "").slice(0, 200);
    CHOICES.forEach(function (name) {
      var field = form.elements[name];
      if (!field) return;
      field.value = state.get(name) || "";
      if (field.selectedIndex < 0) field.value = "";
    });
    form.querySelectorAll("[name=kit]").forEach(function (one) { one.checked = have.indexOf(one.value) >= 0; });
    if (kit().length) form.querySelector(".kit").open = true;
    limit = SHOWN;
    show();
  }

  /* --- keys and buttons --- */

  function links() {
    return Array.from((ui.hits.hidden ? ui.all : ui.hits).querySelectorAll("li[data-code] a"));
  }

  function change() {
    limit = SHOWN;
    show();
    write();
  }

  /* A whole code opens its page; anything else goes to the first hit. */
  function submit(event) {
    event.preventDefault();
    var first = links()[0];
    if (!first || ui.hits.hidden) return;
    var code = first.closest("li").dataset.code.replace("-", "");
    if (L.fold(ui.box.value).replace(/[^\p{L}\p{N}]+/gu, "") === code) location.href = first.href;
    else first.focus();
  }

  function clearAll() {
    form.reset();
    change();
    ui.box.focus();
  }

  function showMore() {
    var next = limit;
    limit += SHOWN;
    show();
    links()[next].focus();
  }

  function arrows(event) {
    if (event.key !== "ArrowDown" && event.key !== "ArrowUp") return;
    var every = links(), at = every.indexOf(document.activeElement);
    if (document.activeElement === ui.box && event.key === "ArrowDown" && every.length) at = -1;
    else if (at < 0) return;
    event.preventDefault();
    var next = at + (event.key === "ArrowDown" ? 1 : -1);
    if (next < 0) ui.box.focus();
    else if (every[next]) every[next].focus();
  }

  function listen() {
    form.addEventListener("input", change);
    form.addEventListener("submit", submit);
    ui.clear.addEventListener("click", clearAll);
    ui.more.querySelector("button").addEventListener("click", showMore);
    document.addEventListener("keydown", arrows);
    window.addEventListener("hashchange", read);
  }
})();
