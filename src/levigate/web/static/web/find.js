// The find box: what was found hangs below it, and the arrow keys walk through it. Without it, the form goes to a page.
"use strict";

(() => {
  const input = document.getElementById("find");
  const list = document.getElementById("found-here");
  if (!input || !list) return;

  const options = () => [...list.querySelectorAll("a[role=option]")];
  const chosen = () => list.querySelector("[aria-selected=true]");

  const show = (open) => {
    list.hidden = !open;
    input.setAttribute("aria-expanded", String(open));
    if (!open) choose(null);
  };

  const choose = (option) => {
    chosen()?.setAttribute("aria-selected", "false");
    if (!option) { input.removeAttribute("aria-activedescendant"); return; }
    option.setAttribute("aria-selected", "true");
    option.scrollIntoView({ block: "nearest" });
    input.setAttribute("aria-activedescendant", option.id);
  };

  const walk = (step) => {
    const all = options();
    if (!all.length) return;
    const at = all.indexOf(chosen());
    choose(all[at < 0 ? (step > 0 ? 0 : all.length - 1) : (at + step + all.length) % all.length]);
  };

  input.addEventListener("keydown", (event) => {
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      event.preventDefault();
      if (list.hidden && list.children.length) show(true);
      walk(event.key === "ArrowDown" ? 1 : -1);
    } else if (event.key === "Enter" && !list.hidden && chosen()) {
      event.preventDefault();
      window.location.assign(chosen().getAttribute("href"));
    } else if (event.key === "Escape" && !list.hidden) {
      event.preventDefault();
      event.stopPropagation();
      show(false);
    }
  });
  list.addEventListener("htmx:afterSwap", () => show(list.children.length > 0 && document.activeElement === input));
  input.addEventListener("focus", () => { if (input.value && list.children.length) show(true); });
  document.addEventListener("pointerdown", (event) => { if (!event.target.closest(".find")) show(false); });
  input.addEventListener("blur", (event) => { if (!event.relatedTarget?.closest?.(".find")) show(false); });
})();
