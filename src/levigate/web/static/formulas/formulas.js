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

const sortable = () => {
  if (typeof Sortable === "undefined") return;
  for (const body of document.querySelectorAll("#ledger tbody[data-phase]")) {
    Sortable.create(body, {
      group: "lines", handle: ".grip", draggable: "tr[data-position]", chosenClass: "lifted", animation: 0,
      onEnd: (event) => {
        const place = lines(event.to).indexOf(event.item);
        if (event.from === event.to && event.oldDraggableIndex === event.newDraggableIndex) return;
        move(event.item, event.to.dataset.phase, place);
      },
    });
  }
};

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
  sortable();
  if (returnTo) document.getElementById(returnTo)?.focus({ preventScroll: true });
  returnTo = null;
});
document.addEventListener("DOMContentLoaded", sortable);
