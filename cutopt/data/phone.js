"use strict";
(function () {
  var plan = "plan " + document.body.dataset.plan;
  var boxes = Array.from(document.querySelectorAll("input[type=checkbox]"));
  var done = document.getElementById("done");
  var large = document.getElementById("large");
  var drawing = document.getElementById("large-drawing");
  function kept() {
    try { return JSON.parse(localStorage.getItem(plan)) || []; } catch (error) { return []; }
  }
  function keep() {
    var ticked = boxes.filter(function (box) { return box.checked; });
    done.textContent = ticked.length + " of " + boxes.length + " done";
    try {
      localStorage.setItem(plan, JSON.stringify(ticked.map(function (box) { return box.id; })));
    } catch (error) { done.textContent += ", not kept"; }
  }
  function show() {
    document.querySelectorAll("nav a").forEach(function (link) {
      if (link.hash === location.hash) { link.setAttribute("aria-current", "true"); }
      else { link.removeAttribute("aria-current"); }
    });
    scrollTo(0, 0);
  }
  var before = new Set(kept());
  boxes.forEach(function (box) {
    box.checked = before.has(box.id);
    box.addEventListener("change", keep);
  });
  document.querySelectorAll(".larger").forEach(function (button) {
    button.addEventListener("click", function () {
      drawing.replaceChildren(button.querySelector("svg").cloneNode(true));
      large.showModal();
    });
  });
  addEventListener("hashchange", show);
  // The browser marks the target only when all of the page is read: the address is asked.
  if (!document.getElementById(location.hash.slice(1))) { location.replace("#buy"); }
  keep();
  show();
})();
