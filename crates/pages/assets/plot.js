"use strict";
// The value under the pointer or the focus, beside it. What carries `data-value` says it.
(() => {
  const readout = document.createElement("div");
  readout.className = "readout";
  readout.hidden = true;
  readout.setAttribute("aria-hidden", "true");
  document.body.append(readout);
  const show = (target, x, y) => {
    readout.textContent = target.getAttribute("data-value");
    readout.hidden = false;
    const width = readout.offsetWidth;
    readout.style.left = `${Math.max(4, Math.min(x + 14, innerWidth - width - 4))}px`;
    readout.style.top = `${Math.max(4, y - 36)}px`;
  };
  const hide = () => { readout.hidden = true; };
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
})();
