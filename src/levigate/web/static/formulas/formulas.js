// Reordering by drag and by keyboard, and the place one was at after a change. Without it, the forms still work.
"use strict";

let returnTo = null;

const remember = (id) => { returnTo = id; };

// A line is moved: its little form is sent with the new phase and place.
const move = (row, phase, place) => {
  const form = row.querySelector("td.do form");
  const values = new FormData(form);
  values.set("do", "move");
  values.set("phase", phase);
  values.set("place", String(place));
  htmx.ajax("POST", form.getAttribute("action"), {
    source: form, target: "#sheet", swap: "outerHTML", values: Object.fromEntries(values),
  });
};

const lines = (body) => [...body.querySelectorAll("tr[data-position]")];

// Drag by the grip, with mouse, pen or finger: the row follows the pointer from place to place, and is sent when let go.
let dragged = null;

document.addEventListener("pointerdown", (event) => {
  const grip = event.target.closest(".grip");
  if (!grip || event.button !== 0) return;
  event.preventDefault();
  const row = grip.closest("tr[data-position]");
  const body = row.closest("tbody");
  dragged = { row, body, place: lines(body).indexOf(row) };
  grip.setPointerCapture(event.pointerId);
  row.classList.add("lifted");
});

document.addEventListener("pointermove", (event) => {
  if (!dragged) return;
  const under = document.elementFromPoint(event.clientX, event.clientY)?.closest("#ledger tbody[data-phase] tr");
  if (!under || under === dragged.row) return;
  const below = dragged.row.compareDocumentPosition(under) & Node.DOCUMENT_POSITION_FOLLOWING;
  const after = under.classList.contains("ph") || below;
  under[after ? "after" : "before"](dragged.row);
});

const letGo = () => {
  if (!dragged) return;
  const { row, body, place } = dragged;
  dragged = null;
  row.classList.remove("lifted");
  const now = row.closest("tbody");
  const there = lines(now).indexOf(row);
  if (now !== body || there !== place) move(row, now.dataset.phase, there);
};

document.addEventListener("pointerup", letGo);
document.addEventListener("pointercancel", letGo);

document.addEventListener("keydown", (event) => {
  if (!event.altKey || !["ArrowUp", "ArrowDown"].includes(event.key)) return;
  const row = event.target.closest("tr[data-position]");
  if (!row) return;
  event.preventDefault();
  const body = row.closest("tbody");
  const bodies = [...document.querySelectorAll("#ledger tbody[data-phase]")];
  const place = lines(body).indexOf(row);
  const down = event.key === "ArrowDown";
  const position = Number(row.dataset.position);
  if (down ? place < lines(body).length - 1 : place > 0) {
    remember(`pc-${position + (down ? 1 : -1)}`);
    move(row, body.dataset.phase, place + (down ? 1 : -1));
    return;
  }
  const next = bodies[bodies.indexOf(body) + (down ? 1 : -1)];
  if (!next) return;
  remember(`pc-${position}`);
  move(row, next.dataset.phase, down ? 0 : lines(next).length);
});

document.addEventListener("htmx:beforeRequest", () => {
  if (!returnTo && document.activeElement?.id) remember(document.activeElement.id);
});
document.addEventListener("htmx:afterSwap", (event) => {
  if (event.detail.target.id !== "sheet") return;
  if (returnTo) document.getElementById(returnTo)?.focus({ preventScroll: true });
  returnTo = null;
});
// A request that was refused or broken off leaves no place behind for a later one to jump to.
document.addEventListener("htmx:afterRequest", () => { returnTo = null; });
