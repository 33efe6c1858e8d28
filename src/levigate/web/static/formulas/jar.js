// The slider of the jar: every moment came with the page, so that moving it only sets numbers of the drawing, once a
// frame, and nothing of the page has to be laid out anew.
"use strict";

const jars = new WeakMap();

function jarOf(drawn) {
  if (!jars.has(drawn)) {
    const layer = (name) => drawn.querySelector(`[data-layer="${name}"]`);
    jars.set(drawn, {
      frames: JSON.parse(drawn.dataset.frames),
      clear: layer("clear"),
      sediment: layer("sediment"),
      cream: layer("cream"),
      when: drawn.querySelector(".says .when"),
      says: drawn.querySelector(".says span"),
      waits: false,
    });
  }
  return jars.get(drawn);
}

function put(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

function draw(jar, slider) {
  const [clearY, clear, sedimentY, sediment, cream, when, says] = jar.frames[Number(slider.value)];
  jar.clear.setAttribute("y", clearY);
  jar.clear.setAttribute("height", clear);
  jar.sediment.setAttribute("y", sedimentY);
  jar.sediment.setAttribute("height", sediment);
  jar.cream.setAttribute("height", cream);
  put(jar.when, when);
  put(jar.says, says);
  slider.setAttribute("aria-valuetext", `${when}: ${says}`);
}

document.addEventListener("input", (event) => {
  const slider = event.target;
  if (!slider.matches(".drawn .slider")) return;
  const jar = jarOf(slider.closest(".drawn"));
  if (jar.waits) return;
  jar.waits = true;
  requestAnimationFrame(() => {
    jar.waits = false;
    draw(jar, slider);
  });
});
