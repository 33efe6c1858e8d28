// Comforts of the bench: a typed number outlives a reload, clocks, a screen that stays on. Pages work without them.
"use strict";

(() => {
  const store = {
    get(key) { try { return JSON.parse(localStorage.getItem(key)); } catch { return null; } },
    set(key, value) { try { localStorage.setItem(key, JSON.stringify(value)); } catch { /* a full or closed store */ } },
    drop(key) { try { localStorage.removeItem(key); } catch { /* as above */ } },
  };

  // A number typed and not sent yet, with the key of its reading: sent twice, it is kept once.
  const place = (weigh) => `levigate.reading.${weigh.dataset.batch}.${weigh.dataset.line}`;

  const restore = () => {
    const weigh = document.querySelector("#weigh[data-line]");
    const reading = document.querySelector("#reading");
    if (!weigh || !reading) return;
    const kept = weigh.dataset.kept.split(" ");
    for (const key of Object.keys(localStorage)) {
      if (key.startsWith(`levigate.reading.${weigh.dataset.batch}.`) && kept.includes(store.get(key)?.key)) store.drop(key);
    }
    const typed = store.get(place(weigh));
    if (typed && typed.tare === weigh.dataset.tare && !reading.value) {
      reading.value = typed.value;
      document.querySelector("[data-key-of-reading]").value = typed.key;
    }
    hint();
  };

  const number = (text) => {
    const value = text.trim().replace(",", ".").replace("−", "-");
    return /^-?\d*\.?\d+$|^-?\d+\.$/.test(value) ? Number(value) : NaN;
  };

  const hint = () => {
    const weigh = document.querySelector("#weigh[data-line]");
    const standing = document.querySelector("#standing");
    const says = document.querySelector(".hint");
    const reading = document.querySelector("#reading");
    if (!weigh || !says || !reading || !standing) return;
    const value = number(reading.value);
    says.classList.remove("over");
    if (Number.isNaN(value)) { says.textContent = ""; return; }
    const before = weigh.dataset.tare === "running" ? Number(standing.dataset.vessel) : 0;
    const off = value - before - Number(standing.dataset.needed);
    const comma = reading.value.includes(",");
    const size = String(Number(Math.abs(off).toFixed(4)));
    if (size === "0") says.textContent = says.dataset.right;
    else says.textContent = `${comma ? size.replace(".", ",") : size} ${off > 0 ? says.dataset.over : says.dataset.short}`;
    says.classList.toggle("over", off > 0);
  };

  document.addEventListener("input", (event) => {
    if (event.target.id !== "reading") return;
    const weigh = event.target.closest("#weigh");
    const key = document.querySelector("[data-key-of-reading]").value;
    if (event.target.value) store.set(place(weigh), { value: event.target.value, key, tare: weigh.dataset.tare });
    else store.drop(place(weigh));
    hint();
  });

  // Clocks: when each ends is kept, so that they run on through every page and reload.
  const shelf = () => `levigate.clocks.${document.querySelector("#timers").dataset.batch}`;

  const tick = () => {
    const bar = document.querySelector("#timers");
    if (!bar) return;
    const clocks = store.get(shelf()) || [];
    bar.querySelectorAll("p").forEach((line) => { if (!clocks.some((one) => one.name === line.dataset.name)) line.remove(); });
    for (const one of clocks) {
      let line = [...bar.children].find((child) => child.dataset.name === one.name);
      if (!line) {
        line = document.createElement("p");
        line.dataset.name = one.name;
        const stop = document.createElement("button");
        stop.type = "button";
        stop.textContent = bar.dataset.stop;
        stop.dataset.stops = one.name;
        line.append(document.createElement("b"), document.createElement("span"), stop);
        line.children[1].textContent = one.name;
        line.children[0].setAttribute("aria-live", "off");
        bar.append(line);
      }
      const left = Math.round((one.ends - Date.now()) / 1000);
      const minutes = Math.floor(left / 60);
      line.children[0].textContent = left > 0 ? `${minutes}:${String(left % 60).padStart(2, "0")}` : bar.dataset.over;
      if (left <= 0 && !line.classList.contains("up")) {
        line.classList.add("up");
        if (navigator.vibrate) navigator.vibrate([300, 200, 300]);
      }
    }
  };

  document.addEventListener("click", (event) => {
    const start = event.target.closest("[data-timer]");
    const stop = event.target.closest("[data-stops]");
    if (!start && !stop) return;
    const name = start ? start.dataset.name : stop.dataset.stops;
    const clocks = (store.get(shelf()) || []).filter((one) => one.name !== name);
    if (start) clocks.push({ name, ends: Date.now() + Number(start.dataset.timer) * 1000 });
    store.set(shelf(), clocks);
    tick();
  });

  const awake = async () => {
    if (!document.querySelector("#weigh") || document.visibilityState !== "visible" || !navigator.wakeLock) return;
    try { await navigator.wakeLock.request("screen"); } catch { /* a flat battery may refuse */ }
  };

  document.addEventListener("htmx:afterSettle", restore);
  document.addEventListener("visibilitychange", awake);
  restore();
  tick();
  setInterval(tick, 500);
  awake();
})();
