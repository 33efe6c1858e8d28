// The slider of the jar: every moment was reckoned by the server, so that moving it only redraws.
"use strict";

const frames = new WeakMap();

document.addEventListener("input", (event) => {
  if (!event.target.matches(".drawn .slider")) return;
  const drawn = event.target.closest(".drawn");
  if (!frames.has(drawn)) frames.set(drawn, JSON.parse(drawn.dataset.frames));
  const frame = frames.get(drawn)[Number(event.target.value)];
  const floor = Number(drawn.dataset.floor);
  for (const rect of drawn.querySelectorAll("[data-layer]")) {
    const height = frame[rect.dataset.layer];
    rect.setAttribute("height", height);
    if (rect.dataset.layer === "sediment") rect.setAttribute("y", floor - height);
  }
  drawn.querySelector(".when b").textContent = frame.when;
  drawn.querySelector(".says").textContent = frame.says;
  event.target.setAttribute("aria-valuetext", `${frame.when}: ${frame.says}`);
});
