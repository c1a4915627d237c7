"use strict";
// Says when another browser has changed what this page shows. Nothing is moved under the hand: the person reloads.
(() => {
  const bar = document.getElementById("moved");
  if (!bar) return;
  const { moment, at } = bar.dataset;
  // A reading sheet brings readings in by itself; a form is about the document.
  const sheet = document.querySelector(".readings-sheet");
  const form = document.querySelector('main input[name="based_on"]');
  let said = "";
  const sentence = ({ document: version, operations, readings }) => {
    const what = [];
    if (version) what.push(`the document was changed (version ${version})`);
    if (operations) what.push("an operation was recorded");
    if (readings && !sheet && !form) what.push(readings === 1 ? "1 reading came in" : `${readings} readings came in`);
    if (what.length === 0) return "";
    const text = `By another browser: ${what.join(", ")}. This page shows what was before.`;
    return form ? `${text} What you typed stays here until you load the page again.` : text;
  };
  const show = (text) => {
    if (text === said) return;
    said = text;
    bar.textContent = "";
    if (text === "") return;
    const p = document.createElement("p");
    p.textContent = `${text} `;
    const again = document.createElement("a");
    again.href = location.pathname + location.search.replace(/([?&])done=[^&]*/, "$1");
    again.textContent = "Load it again";
    p.append(again);
    bar.append(p);
  };
  const ask = async () => {
    if (document.hidden) return;
    try {
      const response = await fetch(`${at}?is=${encodeURIComponent(moment)}`, { credentials: "same-origin", signal: AbortSignal.timeout(10000) });
      if (response.status === 204) show("");
      else if (response.ok) show(sentence(await response.json()));
    } catch { /* no network: the sheet says so */ }
  };
  document.addEventListener("visibilitychange", ask);
  const turn = async () => { await ask(); setTimeout(turn, 2000); };
  setTimeout(turn, 2000);
})();
