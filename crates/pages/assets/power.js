"use strict";
// While a computation runs, its line is asked for again; when it ends, the page is loaded anew.
(() => {
  const watch = () => {
    const line = document.getElementById("progress");
    if (!line || line.dataset.runs !== "yes") return;
    setTimeout(async () => {
      try {
        const answer = await fetch(line.dataset.at, { cache: "no-store" });
        if (answer.ok) {
          const held = line.contains(document.activeElement);
          const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("progress");
          if (fresh && fresh.dataset.runs !== "yes") { location.reload(); return; }
          if (fresh && fresh.innerHTML !== line.innerHTML) {
            line.replaceChildren(...fresh.childNodes);
            if (held) line.querySelector("button")?.focus();
          }
        }
      } catch { /* the server is gone for a moment: ask again */ }
      watch();
    }, 700);
  };
  watch();
})();
