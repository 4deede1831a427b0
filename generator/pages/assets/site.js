/* Buttons that help where a script runs: copy the link, share it, print, play the movement. */
(function () {
  "use strict";

  function say(button, words) {
    var place = button.parentNode.querySelector(".said");
    if (place) place.textContent = words;
  }

  function copyOld(text) {
    var area = document.createElement("textarea");
    area.value = text;
    area.setAttribute("readonly", "");
    area.className = "skip";
    document.body.appendChild(area);
    area.select();
    var done = false;
    try { done = document.execCommand("copy"); } catch { done = false; }
    area.remove();
    return done;
  }

  function copy(button) {
    var finish = function (done) {
      say(button, done ? button.dataset.done : button.dataset.failed);
      button.focus();
    };
    if (navigator.clipboard && window.isSecureContext) {
      navigator.clipboard.writeText(location.href).then(function () { finish(true); }, function () { finish(copyOld(location.href)); });
    } else {
      finish(copyOld(location.href));
    }
  }

  function share() {
    navigator.share({ title: document.title, url: location.href }).catch(function () { /* the reader closed the sheet */ });
  }

  function play(button) {
    var figure = button.closest(".figure");
    var panels = figure.querySelector(".panels");
    var moving = figure.querySelector(":scope > img");
    if (moving) {
      moving.remove();
      panels.hidden = false;
    } else {
      moving = document.createElement("img");
      moving.src = figure.dataset.motion;
      moving.alt = figure.dataset.alt;
      figure.insertBefore(moving, panels);
      panels.hidden = true;
    }
    var words = button.textContent;
    button.textContent = button.dataset.stop;
    button.dataset.stop = words;
  }

  var tasks = { copy: copy, play: play, print: function () { window.print(); } };
  if (navigator.share) tasks.share = share;

  document.querySelectorAll("button[data-do]").forEach(function (button) {
    var task = tasks[button.dataset.do];
    if (!task) return;
    button.hidden = false;
    button.addEventListener("click", function () { task(button); });
  });
})();
