"use strict";
// Balloon and list are one: touching either opens both.
(() => {
  const list = document.querySelector(".engine .list");
  const drawing = document.querySelector(".engine .draw");
  if (!list || !drawing) return;
  const balloon = (number) => drawing.querySelector(`a.balloon[href="#finding-${number}"]`);
  const item = (number) => document.getElementById(`finding-${number}`);
  let lit = null;

  const light = (number) => {
    if (lit === number) return;
    for (const e of document.querySelectorAll(".lit")) e.classList.remove("lit");
    lit = number;
    if (number === null) return;
    item(number)?.classList.add("lit");
    balloon(number)?.classList.add("lit");
  };
  const numberOf = (target) => {
    const inList = target.closest?.(".finding")?.dataset.number;
    if (inList) return inList;
    return /^#finding-(\d+)$/.exec(target.closest?.("a.balloon")?.getAttribute("href") ?? "")?.[1] ?? null;
  };

  for (const event of ["pointerover", "focusin"]) {
    document.addEventListener(event, (e) => { const n = numberOf(e.target); if (n) light(n); });
  }
  drawing.addEventListener("click", (event) => {
    const n = numberOf(event.target);
    if (!n) return;
    event.preventDefault();
    light(n);
    // What stands under a common cause may be folded.
    item(n)?.closest("details")?.setAttribute("open", "");
    item(n)?.scrollIntoView({ block: "center" });
    item(n)?.querySelector("h3 a")?.focus({ preventScroll: true });
  });
  list.addEventListener("click", (event) => {
    const link = event.target.closest("a.balloon");
    if (!link) return;
    event.preventDefault();
    const n = numberOf(link);
    light(n);
    balloon(n)?.scrollIntoView({ block: "nearest" });
    balloon(n)?.focus({ preventScroll: true });
  });
})();
