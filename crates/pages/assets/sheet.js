"use strict";
// A reading sheet under the hand: Enter moves on, minus corrects, Escape restores, and each reading says what it means.
(() => {
  const root = document.querySelector(".readings-sheet");
  if (!root) return;
  const { at, sheet, engine } = root.dataset;
  const status = document.getElementById("status");
  const fields = () => Array.from(root.querySelectorAll("td.in input"));
  const field = (feature) => root.querySelector(`input[data-feature="${CSS.escape(feature)}"]`);
  const bar = (input) => input.closest(".table-part").querySelector(".bar");
  const meaning = (input) => input.closest("tr").querySelector("td.meaning");
  const undone = [];
  let last = Number(root.dataset.last);
  let here = null; // field in hand
  let touched = false;
  let fast = { time: 0, run: 0 };
  let entry = -1e9; // when Enter last sent a reading

  // ---------------------------------------------------------------- words
  const optional = (f) => f.closest(".table-part").dataset.optional !== undefined;
  // Places that wait for the hand: never read, or stale since something was done to the part.
  const toRead = (list) => list.filter((f) => !entered(f) && f.value === "");
  const needed = (list) => toRead(list).filter((f) => !optional(f));
  const done = () => {
    const left = fields().filter((f) => !entered(f));
    if (fields().length === 0 || left.some((f) => !optional(f))) return "";
    const asked = root.querySelectorAll(".meaning .ask[data-feature]").length + unanswered().length;
    if (asked > 0) return `${asked === 1 ? "1 question is" : `${asked} questions are`} open before this sheet is done`;
    if (left.length === 0) return "This sheet is done: every place is read";
    return `This sheet is done: what it needs is read, ${left.length === 1 ? "1 optional place is" : `${left.length} optional places are`} empty`;
  };
  const unanswered = (besides) => fields().filter((f) => f !== besides && f.dataset.asked !== undefined);
  // What is still asked is never covered by the next thing said.
  const say = (text, about) => {
    const open = unanswered(about);
    const still = open.length === 0 ? "" : ` \u00b7 still asked: ${open.map(place).join("; ")}`;
    status.textContent = `${text}${still}`;
    status.classList.remove("waits");
  };
  const count = (n) => {
    if (n > 0) {
      status.textContent = n === 1 ? "1 reading waits for the network" : `${n} readings wait for the network`;
      status.classList.add("waits");
    } else if (status.classList.contains("waits")) { say("All readings have arrived"); }
  };
  const place = (input) => input.getAttribute("aria-label").replace(/, [^,]*$/, "");
  const note = (input, text) => {
    const flag = input.parentElement.querySelector(".flag");
    flag.textContent = text;
    input.parentElement.classList.toggle("flagged", text !== "");
  };

  // A question in the row, never a window over it. Answers: [words, act].
  const ask = (input, text, answers) => {
    const cell = meaning(input);
    cell.querySelector(".ask.own")?.remove();
    const box = document.createElement("div");
    box.className = "ask own";
    box.dataset.of = input.dataset.feature;
    const p = document.createElement("p");
    p.textContent = text;
    box.append(p);
    for (const [words, act] of answers) {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = words;
      button.addEventListener("click", () => { box.remove(); act(); });
      box.append(button);
    }
    cell.prepend(box);
    return box;
  };
  const answered = (input) => {
    input.parentElement.classList.remove("asked");
    meaning(input).querySelector(`.ask.own[data-of="${CSS.escape(input.dataset.feature)}"]`)?.remove();
  };

  // ---------------------------------------------------------------- what stands in a field
  const entered = (input) => Boolean(input.dataset.number);
  const stands = (input) => input.defaultValue;
  const dirty = (input) => input.dataset.mode ? input.value.trim() !== "" : input.value !== stands(input);
  const open = (input) => !entered(input) || Boolean(input.dataset.mode);

  const begin = (input, mode) => {
    if (!entered(input)) return;
    input.dataset.mode = mode;
    input.parentElement.classList.add("correcting");
    let old = input.parentElement.querySelector(".struck");
    if (!old) {
      old = document.createElement("span");
      old.className = "struck";
      input.before(old);
    }
    old.textContent = stands(input);
    old.classList.toggle("kept", mode === "repeat");
    input.value = "";
    note(input, mode === "repeat" ? "second reading" : "correction");
    answered(input);
    input.focus();
  };

  const restore = (input) => {
    delete input.dataset.mode;
    delete input.dataset.asked;
    delete input.dataset.offered;
    input.parentElement.classList.remove("correcting", "waits");
    input.parentElement.querySelector(".struck")?.remove();
    input.value = stands(input);
    note(input, input.dataset.flag ?? "");
    answered(input);
  };

  // With what a field was read, where that is not what stands above the table.
  const mark = (input) => {
    const taken = input.parentElement.querySelector(".taken");
    const set = settings(input.closest(".table-part").id);
    const { gauge, temperature } = taken.dataset;
    const words = [];
    if (entered(input) && gauge !== (set.instrument || "no gauge")) words.push(gauge);
    const same = temperature === set.temperature || (temperature !== "" && set.temperature !== "" && Number(temperature) === Number(set.temperature));
    if (entered(input) && !same) words.push(`${temperature || "?"} ${set.unit}`);
    taken.textContent = words.join(", ");
  };

  const put = (input, cell, settled) => {
    input.defaultValue = cell.shown;
    input.placeholder = cell.before ?? "";
    input.dataset.flag = cell.flag ?? "";
    if (cell.number) input.dataset.number = cell.number; else delete input.dataset.number;
    if (cell.gauge !== undefined) Object.assign(input.parentElement.querySelector(".taken").dataset, { gauge: cell.gauge, temperature: cell.temperature });
    mark(input);
    if (settled) { restore(input); return; }
    if (input.dataset.asked || (input === here && (input.dataset.mode || dirty(input)) && !input.parentElement.classList.contains("waits"))) return;
    restore(input);
  };

  // ---------------------------------------------------------------- settings above the table
  const settingKey = (table) => `crosshatch.set.${engine}.${table}`;
  const settings = (table) => {
    const part = document.getElementById(table);
    const temperature = part.querySelector('[data-setting="temperature"]');
    return {
      instrument: part.querySelector('[data-setting="instrument"]').value,
      temperature: temperature.value.trim().replace(",", "."),
      unit: temperature.parentElement.querySelector(".unit")?.textContent.trim() || "°C",
      held: Array.from(part.querySelectorAll('[data-setting="held"]:checked'), (box) => box.value),
    };
  };
  // Within the bounds of the server, which stand at the field; a unit that is not known here is left to the server.
  const wrongTemperature = (table) => {
    const { temperature, unit } = settings(table);
    if (temperature === "") return "";
    const parts = /^([-+\u2212]?(?:\d+\.?\d*|\.\d+))\s*(.*)$/.exec(temperature);
    if (!parts) return `"${temperature}" is no temperature: write the part's, such as ${unit.includes("F") ? "68" : "20"}`;
    const value = Number(parts[1].replace("\u2212", "-"));
    const letter = (parts[2] || unit).replace(/deg|[°\s]/gi, "").toUpperCase();
    const celsius = { C: value, F: (value - 32) / 1.8, K: value - 273.15 }[letter];
    // The bounds are the server's, in °C.
    const bounds = document.getElementById(table).querySelector('[data-setting="temperature"]').dataset;
    if (celsius === undefined || (celsius >= Number(bounds.least) && celsius <= Number(bounds.most))) return "";
    const shown = (bound) => unit.includes("F") ? `${Math.round(Number(bound) * 1.8 + 32)} °F` : `${bound} °C`;
    const [least, most] = [shown(bounds.least), shown(bounds.most)];
    return `${temperature} ${parts[2] ? "" : `${unit} `}is no temperature of a part at a bench: expected ${least} to ${most}`;
  };
  // Says at the field what is wrong with the temperature. True when it can be used.
  const checkTemperature = (part) => {
    const field = part.querySelector('[data-setting="temperature"]');
    const wrong = wrongTemperature(part.id);
    let note = part.querySelector(".bar .error.of-temperature");
    if (wrong === "") {
      field.removeAttribute("aria-invalid");
      field.removeAttribute("aria-describedby");
      note?.remove();
      return true;
    }
    if (!note) {
      note = document.createElement("span");
      note.className = "error of-temperature";
      note.id = `${part.id}-temperature-error`;
      note.setAttribute("role", "alert");
      field.closest("label").after(note);
    }
    note.textContent = wrong;
    field.setAttribute("aria-invalid", "true");
    field.setAttribute("aria-describedby", note.id);
    return false;
  };
  const showInstrument = (part) => {
    const chosen = part.querySelector('[data-setting="instrument"]').value;
    part.querySelectorAll("[data-instrument]").forEach((e) => { e.hidden = e.dataset.instrument !== chosen; });
  };
  for (const part of root.querySelectorAll(".table-part")) {
    try {
      const kept = JSON.parse(sessionStorage.getItem(settingKey(part.id)) ?? "null");
      if (kept) {
        part.querySelector('[data-setting="instrument"]').value = kept.instrument;
        part.querySelector('[data-setting="temperature"]').value = kept.temperature;
        part.querySelectorAll('[data-setting="held"]').forEach((box) => { box.checked = kept.held.includes(box.value); });
      }
    } catch { /* start from what the page says */ }
    const marks = () => { showInstrument(part); part.querySelectorAll("td.in input").forEach(mark); };
    marks();
    checkTemperature(part);
    part.querySelector(".bar").addEventListener("change", () => {
      marks();
      checkTemperature(part);
      try { sessionStorage.setItem(settingKey(part.id), JSON.stringify(settings(part.id))); } catch { /* not kept */ }
    });
    part.querySelector(".bar").addEventListener("keydown", (event) => {
      if (event.key === "Enter" || event.key === "Escape") {
        event.preventDefault();
        event.target.dispatchEvent(new Event("change", { bubbles: true }));
        if (event.key === "Enter" && !checkTemperature(part)) { part.querySelector('[data-setting="temperature"]').select(); return; }
        (here && part.contains(here) ? here : part.querySelector("td.in input"))?.focus();
      }
    });
  }

  // ---------------------------------------------------------------- typed text
  // A decimal comma counts where it can mean nothing else: not three digits behind it, or typed by a gauge.
  const tidy = (input) => {
    const typed = plain(input);
    return typed.wrong ? typed : { text: withUnit(typed.text, gaugeUnit(input)) };
  };
  // A bare number with a unit behind it; what has one already stays.
  const withUnit = (text, unit) => (unit && /^[-+]?[\d.]+$/.test(text) ? `${text} ${unit}` : text);
  // One unit, however it is written: cm³, cm3; µm, um.
  const spelled = (unit) => unit.replace("³", "3").replace("²", "2").replace(/[\u00b5\u03bc]/, "u");
  // The unit of the gauge, where it shows another than the field: a bare number is read in it.
  const gaugeUnit = (input) => {
    const gauge = input.closest(".table-part").querySelector('[data-setting="instrument"]')?.selectedOptions[0];
    const { unit, dimension } = gauge?.dataset ?? {};
    return unit && dimension === input.dataset.dimension && spelled(unit) !== spelled(input.dataset.unit) ? unit : "";
  };
  const plain = (input) => {
    const text = input.value.trim().replace(/\u2212/g, "-");
    const comma = /^([-+]?\d*),(\d+)(.*)$/.exec(text);
    if (!comma) return { text };
    const [, whole, behind, rest] = comma;
    if (/[.,]/.test(rest)) return { wrong: `"${text}" has two marks: write it with one point.` };
    const grouped = behind.length === 3 && /^[-+]?[1-9]\d{0,2}$/.test(whole);
    if (grouped && input.dataset.gauge !== "yes") return { wrong: `Write ${whole}.${behind} with a point: "${text}" can be read two ways.` };
    return { text: `${whole || "0"}.${behind}${rest}` };
  };

  const send = (input, more) => {
    const table = input.closest(".table-part").id;
    const set = settings(table);
    queue.add({
      feature: input.dataset.feature, unit: input.dataset.unit, instrument: set.instrument,
      temperature: set.temperature === "" ? "" : /[a-z°]/i.test(set.temperature) ? set.temperature : `${set.temperature} ${set.unit}`,
      held: set.held, corrects: null, confirmed: false, withdrawn: false, repeat: false,
      seen: last, sheet, table, text: "", ...more,
    });
  };

  // An answer to a question is not given sooner than this after it, ms; two presses of Enter nearer than half of it are one.
  const BOUNCE = 600;

  // Sends what stands in the field. True when the hand may move on.
  const commit = (input) => {
    if (!dirty(input)) { if (input.dataset.mode) restore(input); return true; }
    if (input.parentElement.classList.contains("waits")) return true;
    const { text, wrong } = tidy(input);
    if (wrong) {
      ask(input, wrong, [["Clear the field", () => { input.value = ""; input.focus(); }]]);
      say(wrong);
      input.focus();
      input.select();
      return false;
    }
    const part = input.closest(".table-part");
    if (!checkTemperature(part)) {
      say(`Not kept: ${wrongTemperature(part.id)}`);
      const field = part.querySelector('[data-setting="temperature"]');
      field.focus();
      field.select();
      return false;
    }
    const confirmed = input.dataset.asked === text;
    // A gauge whose button bounces answers no question.
    if (confirmed && performance.now() - Number(input.dataset.askedAt) < BOUNCE) return false;
    const number = entered(input) ? Number(input.dataset.number) : null;
    input.value = text;
    input.parentElement.classList.add("waits");
    answered(input);
    send(input, { text, confirmed, corrects: input.dataset.mode === "repeat" ? null : number, repeat: input.dataset.mode === "repeat", before: stands(input) });
    return true;
  };

  const takeBack = (input) => {
    if (!entered(input)) return;
    input.parentElement.classList.add("waits");
    send(input, { corrects: Number(input.dataset.number), withdrawn: true, before: stands(input) });
  };

  // ---------------------------------------------------------------- moving
  const step = (input, by) => {
    const all = fields();
    return all[all.indexOf(input) + by] ?? null;
  };
  const onward = (input) => {
    const all = fields();
    const after = all.slice(all.indexOf(input) + 1);
    const table = input.closest(".table-part");
    // On in this table, then where the sheet needs a reading, below first; then what is optional.
    const next = toRead(after).find((f) => table.contains(f)) ?? needed(after)[0] ?? needed(all).find((f) => f !== input) ?? toRead(after)[0];
    (next ?? after[0] ?? input).focus();
  };
  const aside = (input, rows, cells) => {
    const tr = input.closest("tr");
    const list = (row) => Array.from(row?.querySelectorAll("td") ?? []);
    const column = list(tr).indexOf(input.parentElement);
    if (cells !== 0) return step(input, cells)?.focus();
    let row = tr;
    do { row = rows > 0 ? row.nextElementSibling : row.previousElementSibling; } while (row && !list(row)[column]?.querySelector("input"));
    if (row) list(row)[column].querySelector("input").focus();
    else (rows > 0 ? onward(input) : step(input, -1)?.focus());
  };

  const shortcut = (input, key) => {
    const part = input.closest(".table-part");
    const to = (name) => { const e = part.querySelector(`[data-setting="${name}"]`); e?.focus(); e?.select?.(); return Boolean(e); };
    switch (key) {
      case "g": return to("instrument");
      case "t": return to("temperature");
      case "h": {
        const box = part.querySelector('[data-setting="held"]');
        if (!box) { say("Nothing to hold here: the part lies free"); return true; }
        box.checked = !box.checked;
        box.dispatchEvent(new Event("change", { bubbles: true }));
        say(`${box.parentElement.textContent.replace(/H\s*$/, "").trim()}: ${box.checked ? "yes" : "no"}`);
        return true;
      }
      case "o": {
        const form = document.getElementById("operation");
        form.open = true;
        form.querySelector("select").focus();
        return true;
      }
      default: return false;
    }
  };

  const undo = () => {
    const lastOne = undone.pop();
    const input = lastOne && field(lastOne.feature);
    if (!input) { say("Nothing of this page is left to undo"); return; }
    input.parentElement.classList.add("waits");
    if (lastOne.before !== "" && lastOne.before !== undefined && !lastOne.repeat) {
      send(input, { text: lastOne.before, corrects: lastOne.number, undone: true, undo: true });
    } else { send(input, { corrects: lastOne.number, withdrawn: true, undo: true }); }
    input.focus();
  };

  root.addEventListener("keydown", (event) => {
    const input = event.target;
    if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "z" && !(input.matches("td.in input") && dirty(input) && open(input))) {
      event.preventDefault();
      undo();
      return;
    }
    if (!input.matches("td.in input") || event.ctrlKey || event.metaKey || event.altKey) return;
    const key = event.key;
    const still = input.value === "" || !open(input); // nothing typed: letters are keys, not units
    if (key === "Enter") {
      event.preventDefault();
      const bounced = event.repeat || event.timeStamp - entry < BOUNCE / 2;
      // The second of two quick presses leaves no place out, and a refused reading keeps the hand where the answer is wanted.
      if (!dirty(input) && !input.dataset.mode && (bounced || input.dataset.offered)) { delete input.dataset.offered; return; }
      const moded = input.dataset.mode;
      if (dirty(input)) entry = event.timeStamp;
      if (event.shiftKey) { if (commit(input)) step(input, -1)?.focus(); } else if (commit(input)) { if (moded) step(input, 1)?.focus(); else onward(input); }
    } else if (key === "Escape") { event.preventDefault(); restore(input); input.select(); } else if (key === "ArrowDown" || key === "ArrowUp") {
      event.preventDefault();
      if (commit(input)) aside(input, key === "ArrowDown" ? 1 : -1, 0);
    } else if (key === "ArrowRight" && (still || input.selectionStart === input.value.length)) {
      event.preventDefault();
      if (commit(input)) aside(input, 0, 1);
    } else if (key === "ArrowLeft" && (still || input.selectionEnd === 0)) {
      event.preventDefault();
      if (commit(input)) aside(input, 0, -1);
    } else if ((key === "-" || key === "\u2212") && !open(input)) { event.preventDefault(); begin(input, "correct"); } else if (key.toLowerCase() === "r" && open(input) && !input.dataset.mode && still) {
      event.preventDefault();
      say(input.placeholder === "" ? `${place(input)} is not read yet: type what the gauge shows` : `${place(input)}: ${input.placeholder} was read before the last operation: type what the gauge shows now`);
    } else if (key.toLowerCase() === "r" && !open(input)) { event.preventDefault(); begin(input, "repeat"); } else if (key === "Delete" && !open(input)) { event.preventDefault(); takeBack(input); } else if (/^[gthoGTHO]$/.test(key) && still && shortcut(input, key.toLowerCase())) { event.preventDefault(); } else if (key.length === 1 && !open(input)) {
      event.preventDefault();
      offer(input);
    }
  });

  // How fast characters come tells a gauge from a hand.
  root.addEventListener("input", (event) => {
    const input = event.target;
    if (!input.matches("td.in input")) return;
    const quick = event.timeStamp - fast.time < 40;
    fast = { time: event.timeStamp, run: quick ? fast.run + 1 : 0 };
    input.dataset.gauge = fast.run >= 3 ? "yes" : "no";
    delete input.dataset.asked;
    input.parentElement.classList.remove("asked");
    if (!open(input)) { input.value = stands(input); offer(input); }
  });

  const offer = (input) => {
    const text = `${place(input)} is read already: ${stands(input)}.`;
    input.dataset.offered = "yes";
    say(`${text} Minus corrects it, R reads it again.`);
    ask(input, text, [["Correct it", () => begin(input, "correct")], ["Read it again, take the mean", () => begin(input, "repeat")], ["Take it back", () => takeBack(input)]]);
  };

  root.addEventListener("pointerdown", (event) => { touched = event.pointerType === "touch"; });
  root.addEventListener("focusin", (event) => {
    const input = event.target;
    if (!input.matches("td.in input")) return;
    // A window that comes back to its field does not scroll from under the click that brought it back.
    const back = input === here;
    here = input;
    input.select();
    if (!back) input.closest("td").scrollIntoView({ block: "nearest", inline: "nearest" });
    if (touched && entered(input) && !input.dataset.mode) offer(input);
  });
  root.addEventListener("focusout", (event) => {
    const input = event.target;
    if (input.dataset) delete input.dataset.offered;
    if (input.matches?.("td.in input") && input.dataset.asked === undefined) commit(input);
  });

  // Questions that came with the page.
  root.addEventListener("click", (event) => {
    const button = event.target.closest("[data-answer]");
    const box = button?.closest(".ask");
    const input = box && field(box.dataset.feature);
    if (!input) return;
    const corrects = Number(box.dataset.reading);
    input.parentElement.classList.add("waits");
    if (button.dataset.answer === "correct") send(input, { text: button.dataset.value, corrects, confirmed: true, before: stands(input) });
    else send(input, { text: button.dataset.value ?? stands(input), corrects, confirmed: true, before: stands(input) });
    button.closest(".ask").remove();
    input.focus();
  });

  // ---------------------------------------------------------------- what comes back
  const replace = (element, html) => {
    if (!element || element.dataset.html === html) return;
    const own = Array.from(element.querySelectorAll(".ask.own"));
    element.innerHTML = html;
    element.prepend(...own);
    element.dataset.html = html;
  };
  const apply = (parts) => {
    for (const [row, html] of Object.entries(parts.rows ?? {})) replace(root.querySelector(`[data-row="${CSS.escape(row)}"]`), html);
    for (const [feature, cell] of Object.entries(parts.cells ?? {})) { const input = field(feature); if (input) put(input, cell); }
    if (parts.tabs) replace(document.getElementById("tabs"), parts.tabs);
    if (parts.foot) replace(document.getElementById("foot"), parts.foot);
    const edition = document.getElementById("edition");
    if (parts.edition && edition) edition.textContent = parts.edition;
    if (parts.last) last = Math.max(last, parts.last);
  };

  const heard = (event, item, answer) => {
    if (event === "count") { count(answer); return; }
    const input = item && field(item.feature);
    if (event === "refused") { say("This page is too old to be trusted by the server: reload it. Nothing is lost"); return; }
    if (event === 200 && answer.number) {
      // Typed anew while the answer was on its way: that stays.
      const untouched = input && (item.undo || item.withdrawn || [item.text, item.before].includes(input.value.trim()));
      input?.parentElement.classList.remove("waits");
      if (untouched) { delete input.dataset.asked; delete input.dataset.mode; answered(input); }
      if (item.undo) {
        // What was undone to stands under a new number.
        const earlier = undone.findLast((u) => u.feature === item.feature);
        if (earlier && !item.withdrawn) earlier.number = answer.number;
      } else undone.push({ feature: item.feature, number: answer.number, before: item.corrects ? item.before : "", repeat: item.repeat });
      apply(answer);
      const cell = answer.cells?.[item.feature] ?? { shown: item.withdrawn ? "" : answer.shown ?? item.text, number: item.withdrawn ? null : answer.number, flag: "" };
      if (input) put(input, cell, untouched);
      if (input) {
        const shown = answer.shown ?? item.text;
        const words = item.withdrawn ? "taken back" : item.undo ? `taken back, ${shown} again` : `${shown} kept`;
        say([`${place(input)}: ${words}`, done()].filter((w) => w !== "").join(". "));
      }
      return;
    }
    if (!input) return;
    input.parentElement.classList.remove("waits");
    input.value = item.text;
    if (event === 200 && answer.ask) question(input, item, answer.ask);
    else if (event === 409 && answer.conflict) conflict(input, item, answer);
    else wrong(input, answer.error ?? `The server did not take it (answer ${event}).`);
  };

  const back = (input) => { if (!here || here === input || !dirty(here)) { input.focus(); input.select(); } };

  // Marks a cell whose reading is not kept until its question is answered.
  const holdAsked = (input, text) => {
    input.dataset.asked = text;
    input.dataset.askedAt = performance.now();
    input.parentElement.classList.add("asked");
    note(input, "not kept yet");
  };

  const question = (input, item, asked) => {
    holdAsked(input, item.text);
    if (item.corrects) input.dataset.mode = "correct";
    // The button goes with its question: the hand stands at the next place, not nowhere.
    const again = (text) => { input.value = text; input.dataset.asked = text; input.dataset.askedAt = -1e9; if (commit(input)) onward(input); };
    const answers = asked.differs
      ? [["Both are right: the mean counts", () => again(item.text)], ["The first was wrong: this corrects it", () => { input.dataset.mode = "correct"; again(item.text); }]]
      : [[`It is right: keep ${item.text}`, () => again(item.text)]];
    // A bare number of the server is in the field's unit.
    const whole = withUnit(String(asked.likely ?? ""), gaugeUnit(input) && input.dataset.unit);
    if (asked.likely) answers.unshift([`Yes, ${whole}`, () => again(whole)]);
    answers.push(["Change it", () => { delete input.dataset.asked; answered(input); input.focus(); input.select(); }]);
    ask(input, `${place(input)}, ${item.text}: ${asked.text}`, answers);
    say(`${place(input)}, ${item.text}: ${asked.text} Enter again keeps ${asked.differs ? "both" : item.text}`, input);
    back(input);
  };

  const conflict = (input, item, answer) => {
    apply(answer);
    holdAsked(input, item.text);
    input.value = item.text;
    const theirs = answer.conflict;
    const by = theirs.who ? ` by ${theirs.who}` : "";
    const mine = (more) => { input.parentElement.classList.add("waits"); delete input.dataset.asked; send(input, { text: item.text, confirmed: item.confirmed, before: theirs.shown, ...more }); onward(input); };
    const settle = () => { input.dataset.number = theirs.number; input.defaultValue = theirs.shown; };
    ask(input, `Meanwhile ${place(input)} was read${by}: ${theirs.shown}. Yours is ${item.text}.`, [
      [`Keep ${theirs.shown}`, () => { settle(); restore(input); }],
      [`${item.text} corrects it`, () => { settle(); mine({ corrects: theirs.number }); }],
      ["Take the mean of both", () => { settle(); mine({ repeat: true }); }],
    ]);
    say("Two readings of one place: both are shown in the row", input);
  };

  const wrong = (input, text) => {
    holdAsked(input, "");
    ask(input, text, [["Clear the field", () => { restore(input); input.focus(); }]]);
    say(text, input);
    back(input);
  };

  // What was typed without Enter is sent, what is still asked holds the page.
  window.addEventListener("beforeunload", (event) => {
    if (here && dirty(here) && here.dataset.asked === undefined) commit(here);
    if (unanswered().length > 0) event.preventDefault();
  });

  const queue = new window.CrosshatchQueue(`${at}/readings`, engine, heard);

  // What other browsers read.
  const poll = async () => {
    if (!document.hidden) {
      try {
        const response = await fetch(`${at}/changes?after=${last}&sheet=${sheet}`, { credentials: "same-origin", signal: AbortSignal.timeout(10000) });
        if (response.ok && response.status !== 204) apply(await response.json());
        if (queue.items().length > 0) queue.send();
      } catch { count(queue.items().length); }
    }
    setTimeout(poll, 2000);
  };
  setTimeout(poll, 2000);

  // Start where the hand starts.
  const wanted = location.hash ? document.getElementById(decodeURIComponent(location.hash.slice(1))) : null;
  if (wanted?.matches("input")) wanted.focus();
  else if (!location.hash && !root.querySelector("#operation[open]") && document.activeElement === document.body) {
    (needed(fields())[0] ?? fields()[0])?.focus({ preventScroll: true });
    if (status.textContent === "" && done() !== "") say(done());
  }
  // No event tells of it while the window has no focus.
  if (document.activeElement.matches("td.in input")) here = document.activeElement;
})();
