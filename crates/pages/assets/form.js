"use strict";
// Small helps for forms; every form works without them.
(() => {
  // "Go there": the place of an error in a text.
  document.addEventListener("click", (event) => {
    const button = event.target.closest("button[data-line]");
    const text = button && document.getElementById(button.closest("[data-text]").dataset.text);
    if (!text) return;
    const lines = text.value.split("\n");
    const line = Math.min(Number(button.dataset.line), lines.length) - 1;
    const start = lines.slice(0, line).reduce((sum, l) => sum + l.length + 1, 0);
    const from = start + Math.min(Number(button.dataset.column) - 1, lines[line].length);
    text.focus();
    text.setSelectionRange(from, start + lines[line].length);
    const height = parseFloat(getComputedStyle(text).lineHeight) || 22;
    text.scrollTop = Math.max(0, line * height - text.clientHeight / 3);
  });
  // What is typed into a field that is only proposed is said, even where it is the same again.
  document.addEventListener("input", (event) => {
    const box = event.target.id && document.querySelector(`input[data-of="${CSS.escape(event.target.id)}"]`);
    if (box) box.checked = true;
  });
  // A chosen file becomes the text that is sent.
  for (const input of document.querySelectorAll('input[type="file"][data-into]')) {
    input.addEventListener("change", async () => {
      const file = input.files[0];
      if (file) document.getElementById(input.dataset.into).value = await file.text();
    });
  }
  // What is printed is what stands in the field.
  window.addEventListener("beforeprint", () => {
    for (const print of document.querySelectorAll("textarea + .as-text")) print.textContent = print.previousElementSibling.value;
  });
  // Nothing typed is lost by a slip of the hand. What came back refused or asked about is not kept either.
  const form = document.querySelector("main form.form, main form:has(textarea)");
  let changed = Boolean(form && document.querySelector("#wrong, #asked"));
  form?.addEventListener("input", () => { changed = true; });
  form?.addEventListener("submit", () => { changed = false; });
  window.addEventListener("crosshatch-typed-kept", () => { changed = false; });
  window.addEventListener("beforeunload", (event) => { if (changed) event.preventDefault(); });
})();
