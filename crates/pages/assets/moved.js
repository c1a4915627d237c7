"use strict";
// Says when another browser has changed what this page shows. The top edge follows by itself; below it nothing is moved
// under the hand: one key loads the page again, and what was typed into a form of sizes stands there again.
(() => {
  const bar = document.getElementById("moved");
  if (!bar) return;
  const { moment, at } = bar.dataset;
  // A reading sheet brings readings in by itself; a form is about the document.
  const sheet = document.querySelector(".readings-sheet");
  const form = document.querySelector('main input[name="based_on"]');
  // A whole document that was typed over is not put over a newer one: its page says which version it came from.
  const fields = form && !document.querySelector("main textarea.document")
    ? Array.from(form.form.elements).filter((e) => e.name && !["hidden", "file", "submit"].includes(e.type)) : [];
  const place = `crosshatch.typed.${location.pathname}`;
  let said = "";

  // ---------------------------------------------------------------- what was typed and not kept
  const stood = (e) => {
    if (e.type === "checkbox" || e.type === "radio") return String(e.defaultChecked);
    if (e.tagName === "SELECT") return (Array.from(e.options).find((o) => o.defaultSelected) ?? e.options[0])?.value ?? "";
    return e.defaultValue;
  };
  const stands = (e) => e.type === "checkbox" || e.type === "radio" ? String(e.checked) : e.value;
  const keep = () => {
    const typed = fields.filter((e) => stands(e) !== stood(e)).map((e) => ({ name: e.id || e.name, value: stands(e), was: stood(e) }));
    try { sessionStorage.setItem(place, JSON.stringify(typed)); } catch { return typed.length === 0; }
    window.dispatchEvent(new Event("crosshatch-typed-kept"));
    return true;
  };
  const putBack = () => {
    let typed = [];
    try { typed = JSON.parse(sessionStorage.getItem(place) ?? "[]"); sessionStorage.removeItem(place); } catch { /* nothing was kept */ }
    const lines = [];
    for (const { name, value, was } of typed) {
      const e = fields.find((f) => (f.id || f.name) === name);
      if (!e) { lines.push(`"${value}" was typed for ${name.replace(/[._]/g, " ")}, which is not here any more.`); continue; }
      if (e.type === "checkbox" || e.type === "radio") e.checked = value === "true"; else e.value = value;
      e.dispatchEvent(new Event("input", { bubbles: true }));
      const label = e.getAttribute("aria-label") ?? e.labels?.[0]?.textContent.trim() ?? name;
      if (stood(e) !== was) lines.push(`${label}: the document now says "${stood(e) || "nothing"}", you typed "${value}".`);
    }
    if (typed.length > 0) lines.unshift(typed.length === 1 ? "Loaded again. What you typed stands in its field and is not kept yet." : `Loaded again. What you typed stands in its ${typed.length} fields and is not kept yet.`);
    if (lines.length > 0) say(lines.join(" "), false);
  };
  const load = () => {
    document.activeElement?.blur(); // a reading in hand is on its way
    if (!keep()) return;
    location.href = location.pathname + location.search.replace(/([?&])done=[^&]*/, "$1");
  };
  document.addEventListener("keydown", (event) => {
    if (said === "" || !event.altKey || event.ctrlKey || event.code !== "KeyL") return;
    event.preventDefault();
    load();
  });

  // The verdicts along the top edge are nobody's to type in.
  const followTop = async () => {
    try {
      const response = await fetch(location.href, { credentials: "same-origin", signal: AbortSignal.timeout(10000) });
      const tabs = response.ok && new DOMParser().parseFromString(await response.text(), "text/html").getElementById("tabs");
      if (tabs) document.getElementById("tabs").innerHTML = tabs.innerHTML;
    } catch { /* no network: the next turn */ }
  };
  const sentence = ({ document: version, operations, readings }) => {
    const what = [];
    if (version) what.push(`the document was changed (version ${version})`);
    if (operations) what.push("an operation was recorded");
    if (readings && !sheet && !form) what.push(readings === 1 ? "1 reading came in" : `${readings} readings came in`);
    if (what.length === 0) return "";
    const text = `By another browser: ${what.join(", ")}. This page shows what was before.`;
    if (!form) return text;
    return fields.length > 0 ? `${text} What you typed stays, and is here again after loading.` : `${text} What you typed stays here until you load the page again.`;
  };
  const say = (text, offer) => {
    bar.textContent = "";
    const p = document.createElement("p");
    p.textContent = `${text} `;
    if (offer) {
      const again = document.createElement("a");
      again.href = location.pathname + location.search.replace(/([?&])done=[^&]*/, "$1");
      again.textContent = "Load it again";
      again.addEventListener("click", (event) => { event.preventDefault(); load(); });
      const key = document.createElement("kbd");
      key.textContent = "Alt+L";
      p.append(again, " ", key);
    }
    bar.append(p);
  };
  const show = (text) => {
    if (text === said) return;
    said = text;
    if (text === "") { bar.textContent = ""; return; }
    say(text, true);
    followTop();
  };
  const ask = async () => {
    if (document.hidden) return;
    try {
      const response = await fetch(`${at}?is=${encodeURIComponent(moment)}`, { credentials: "same-origin", signal: AbortSignal.timeout(10000) });
      if (response.status === 204) show("");
      else if (response.ok) show(sentence(await response.json()));
    } catch { /* no network: the sheet says so */ }
  };
  putBack();
  document.addEventListener("visibilitychange", ask);
  const turn = async () => { await ask(); setTimeout(turn, 2000); };
  setTimeout(turn, 2000);
})();
