// Keyboard and small comforts. Every page works without it.
"use strict";

const field = (target) => target.closest("input, textarea, select, [contenteditable=true]");

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "Escape" && field(event.target)) { event.target.blur(); return; }
  if (field(event.target)) return;
  if (event.key === "/") {
    const find = document.querySelector("#find");
    if (find) { event.preventDefault(); find.focus(); find.select(); }
    return;
  }
  if (event.key === "?") {
    const keys = document.querySelector("#keys");
    if (keys) { event.preventDefault(); keys.showModal(); }
    return;
  }
  // A page names its own keys on the controls themselves: <button data-key="u">.
  const control = document.querySelector(`[data-key="${CSS.escape(event.key)}"]`);
  if (control && !control.disabled) { event.preventDefault(); control.click(); }
});

document.addEventListener("click", (event) => {
  const opener = event.target.closest("[data-opens]");
  if (opener) document.getElementById(opener.dataset.opens)?.showModal();
  const closer = event.target.closest("[data-closes]");
  if (closer) closer.closest("dialog")?.close();
});

// What the server answers to trouble is shown, whatever its status.
document.addEventListener("htmx:beforeSwap", (event) => {
  const status = event.detail.xhr.status;
  if (status === 409 || status === 422) { event.detail.shouldSwap = true; event.detail.isError = false; }
});
document.addEventListener("htmx:beforeRequest", (event) => {
  if (event.target.closest("[data-quietly]")) return; // what asks on its own takes no message away
  const trouble = document.querySelector("#trouble");
  if (trouble) trouble.replaceChildren();
});
document.addEventListener("htmx:sendError", () => {
  const trouble = document.querySelector("#trouble");
  if (trouble) {
    const said = document.createElement("div");
    said.className = "note stop";
    said.textContent = trouble.dataset.gone;
    trouble.replaceChildren(said);
  }
});
