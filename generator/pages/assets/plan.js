/* The plan page. With a plan in the address it is the patient's page; without one, the clinician makes a plan. */
(function () {
  "use strict";
  /** @type {Limberleaf} */
  var L = window.limberleaf, el = L.el, say = L.say;
  var host = document.getElementById("plan"), body = document.getElementById("plan-body");
  var title = document.getElementById("plan-title"), showing = 0, shown;

  L.planAddress = function (fragment) {
    return (location.protocol === "file:" ? L.data.site + L.data.plan : location.href.split(/[?#]/)[0]) + "#" + fragment;
  };

  /* A link from a set or a step of a ladder: what it holds goes into the plan being made. */
  function takeIn() {
    L.incoming = location.hash.startsWith("#add.") && L.read(location.hash.slice(5)).plan;
    if (L.incoming) history.replaceState(null, "", location.pathname + location.search);
  }

  function show() {
    if (L.jumped(shown) && showing) return;
    takeIn();
    var mine = ++showing, reading = L.read(location.hash);
    shown = location.hash.slice(1);
    L.keepPlan(reading.plan ? shown : "");
    document.documentElement.classList.remove("large", "short");
    body.textContent = "";
    host.classList.toggle("making", !!reading.trouble);
    if (reading.trouble === "empty") {
      title.textContent = say("plan.make.title");
      Promise.resolve(L.make || L.script(L.data.scripts.making)).then(function () { if (mine === showing) L.make(body); });
      return;
    }
    title.textContent = say("plan.title");
    if (reading.trouble) {
      L.foot("");
      body.appendChild(L.trouble(reading.trouble));
      return;
    }
    body.appendChild(el("p", { text: say("plan.loading"), role: "status" }));
    Promise.all([L.resolve(reading.plan), L.patient || L.script(L.data.scripts.view)]).then(function (came) {
      if (mine !== showing) return;
      body.textContent = "";
      L.patient(came[0], body);
    });
  }

  L.put = function (parent) {
    for (var i = 1; i < arguments.length; i++) if (arguments[i]) parent.appendChild(arguments[i]);
  };

  /* Open a plan for changing, or an empty one; `opened` says which words have changed since it was made. */
  L.change = function (plan) {
    L.opened = plan.picks.length ? plan : null;
    L.before = L.draft.get();
    L.draft.set(plan);
    L.draft.handOver(false);
    history.pushState(null, "", location.pathname + location.search);
    show();
    title.setAttribute("tabindex", "-1");
    title.focus();
  };

  function remarks(list) {
    if (!list.length) return null;
    return el("ul", { class: "plan-note" }, list.map(function (one) {
      return el("li", { text: say("plan.remarks." + one.code, one.values) });
    }));
  }
  L.remarks = remarks;

  /* Put the address of a plan and its code to scan into the foot; an empty fragment takes them away. */
  L.foot = function (fragment) {
    var address = L.planAddress(fragment), qr = document.getElementById("plan-qr");
    document.getElementById("plan-address").textContent = address.replace(/^https?:\/\//, "").replace(/#$/, "");
    qr.hidden = true;
    if (!fragment) return;
    (L.qr ? Promise.resolve(true) : L.script(L.data.scripts.qr)).then(function (came) {
      var drawn = came && L.qr(address);
      if (!drawn) return;
      qr.textContent = "";
      qr.appendChild(drawn);
      qr.hidden = false;
    });
  };

  window.addEventListener("hashchange", show);
  window.addEventListener("popstate", show);
  show();
})();
