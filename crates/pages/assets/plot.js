"use strict";
// The value under the pointer, or under the arrow keys, beside it. What carries `data-value` says it.
(() => {
  const readout = document.createElement("div");
  readout.className = "readout";
  readout.hidden = true;
  readout.setAttribute("aria-hidden", "true");
  document.body.append(readout);
  // What a reader hears.
  const said = document.createElement("div");
  said.className = "reader-only";
  said.setAttribute("role", "status");
  document.querySelector("main")?.append(said);
  let lit = null;
  const show = (target, x, y) => {
    readout.textContent = target.getAttribute("data-value");
    readout.hidden = false;
    const width = readout.offsetWidth;
    readout.style.left = `${Math.max(4, Math.min(x + 14, innerWidth - width - 4))}px`;
    readout.style.top = `${Math.max(4, y - 36)}px`;
  };
  const light = (target) => {
    lit?.setAttribute("fill-opacity", "0");
    lit = target;
    lit?.setAttribute("fill-opacity", "0.12");
  };
  const hide = () => { readout.hidden = true; light(null); };
  document.addEventListener("pointermove", (event) => {
    const target = event.target.closest?.("[data-value]");
    if (target?.ownerSVGElement) show(target, event.clientX, event.clientY); else hide();
  });
  document.addEventListener("focusin", (event) => {
    const target = event.target.closest?.("svg [data-value]");
    if (!target) { hide(); return; }
    const box = target.getBoundingClientRect();
    show(target, box.right, box.top);
  });
  document.addEventListener("keydown", (event) => {
    const box = event.target.closest?.(".plot-box");
    const by = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (event.key === "Escape") { hide(); return; }
    if (!box || !by || event.ctrlKey || event.altKey || event.metaKey) return;
    const places = [...box.querySelectorAll("[data-value]")];
    if (places.length === 0) return;
    event.preventDefault();
    const at = places.indexOf(lit);
    const target = places[Math.max(0, Math.min(places.length - 1, at < 0 ? 0 : at + by))];
    light(target);
    const area = target.getBoundingClientRect();
    show(target, area.right, area.top + 40);
    said.textContent = target.getAttribute("data-value");
  });
})();
