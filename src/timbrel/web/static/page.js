// The page of one job: tabs, drawings with zoom, and the vault kept in step with the plan.

import { Panel } from "timbrel/vault";

const job = `/jobs/${document.querySelector("[data-job]").dataset.job}`;
const revision = () => document.getElementById("revision").value;
const BUSY_MS = 400;
const panel = new Panel(document.querySelector("[data-vault]"));
const followed = () => `${revision()} ${document.getElementById("verdicts").dataset.followed}`;
const get = (path) => fetch(`${job}/${path}`, { credentials: "same-origin" });

/** Why an answer is a refusal, in its own words. */
async function whyNot(answer) {
  const told = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector(".refusal");
  const line = document.createElement("p");
  line.className = "refusal";
  line.setAttribute("role", "alert");
  line.textContent = told?.textContent.trim() || String(answer.status);
  return line;
}

// -- tabs ----------------------------------------------------------------------------------------

const tabs = [...document.querySelectorAll("[role=tab]")];
const opened = { vault: showVault, drawing: showDrawings, tables: showTables };
// The vault and its drawings tell more once the building has been followed; the tables wait for it.
const stands = { vault: followed, drawing: followed, tables: revision };
const fresh = {};

function open(tab, focus = false) {
  for (const other of tabs) {
    const on = other === tab;
    other.setAttribute("aria-selected", String(on));
    other.tabIndex = on ? 0 : -1;
    document.getElementById(other.getAttribute("aria-controls")).hidden = !on;
  }
  if (focus) tab.focus();
  renew();
}

// What the reader opened or shut stays so when the verdicts or the form are renewed.
const kept = new Map();
document.addEventListener("click", (event) => {
  const details = event.target.closest("summary")?.parentElement;
  if (details?.id) kept.set(details.id, !details.open);
});
for (const moment of ["htmx:oobAfterSwap", "htmx:afterSwap", "htmx:afterSettle"]) {
  document.body.addEventListener(moment, () => {
    for (const [id, isOpen] of kept) document.getElementById(id)?.toggleAttribute("open", isOpen);
  });
}

/** Bring what the open tab shows up to the plan that stands. */
function renew() {
  const name = tabs.find((tab) => tab.getAttribute("aria-selected") === "true").getAttribute("aria-controls");
  if (!opened[name] || fresh[name] === stands[name]()) return;
  fresh[name] = stands[name]();
  opened[name]().catch((error) => { fresh[name] = null; console.warn(error); });
}

tabs.forEach((tab, n) => {
  tab.addEventListener("click", () => open(tab));
  tab.addEventListener("keydown", (event) => {
    const way = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (way) open(tabs[(n + way + tabs.length) % tabs.length], true);
  });
});
document.body.addEventListener("replanned", renew);

// -- vault, tables -------------------------------------------------------------------------------

async function showVault() {
  panel.root.setAttribute("aria-busy", "true");
  panel.prepare();
  const answer = await get("model.json");
  if (answer.ok) await panel.show(await answer.json());
}

async function showTables() {
  const place = document.getElementById("tables-held");
  const busy = document.getElementById("tables-busy");
  const mine = fresh.tables;
  const late = setTimeout(() => { busy.hidden = false; }, BUSY_MS);
  let answer;
  try { answer = await get("tables"); } finally { clearTimeout(late); }
  if (mine !== fresh.tables) return; // a later plan is on its way
  busy.hidden = true;
  if (!answer.ok) { place.replaceChildren(await whyNot(answer)); return; }
  place.innerHTML = await answer.text();
  window.htmx.process(place);
}

// -- drawings ------------------------------------------------------------------------------------

const image = document.getElementById("drawing-image");
const frame = document.querySelector(".drawing-frame");
let place = { scale: 1, x: 0, y: 0 };

function settle() {
  image.style.transform = `translate(${place.x}px, ${place.y}px) scale(${place.scale})`;
}

function zoom(times) {
  const next = times ? Math.min(Math.max(place.scale * times, 0.5), 30) : 1;
  const [cx, cy] = [frame.clientWidth / 2, frame.clientHeight / 2];
  const k = next / place.scale;
  place = times ? { scale: next, x: cx - (cx - place.x) * k, y: cy - (cy - place.y) * k } : { scale: 1, x: 0, y: 0 };
  settle();
}

async function showDrawings() {
  const answer = await get("drawings");
  const list = document.getElementById("drawing-list");
  if (!answer.ok) { list.replaceChildren(await whyNot(answer)); return; }
  const chosen = document.getElementById("drawing-choice")?.value || wanted;
  list.innerHTML = await answer.text();
  const choice = document.getElementById("drawing-choice");
  if ([...choice.options].some((option) => option.value === chosen)) choice.value = chosen;
  draw();
}

let wanted = "";

function draw() {
  const choice = document.getElementById("drawing-choice");
  const option = choice.selectedOptions[0];
  if (!option) return;
  image.alt = option.textContent;
  image.src = `${job}/drawings/${encodeURIComponent(option.value)}.svg?r=${revision()}`;
}

document.getElementById("drawing").addEventListener("change", (event) => {
  if (event.target.id === "drawing-choice") { zoom(0); draw(); }
});
document.getElementById("drawing").addEventListener("click", (event) => {
  const by = event.target.closest("[data-zoom]")?.dataset.zoom;
  if (by !== undefined) zoom(Number(by));
});
frame.addEventListener("keydown", (event) => {
  const step = { ArrowLeft: [40, 0], ArrowRight: [-40, 0], ArrowUp: [0, 40], ArrowDown: [0, -40] }[event.key];
  if (step) { place.x += step[0]; place.y += step[1]; settle(); event.preventDefault(); }
  if (event.key === "+") zoom(1.3);
  if (event.key === "-") zoom(0.77);
  if (event.key === "0") zoom(0);
});
frame.addEventListener("wheel", (event) => {
  if (!event.ctrlKey && !event.metaKey) return;
  event.preventDefault();
  zoom(event.deltaY < 0 ? 1.15 : 0.87);
}, { passive: false });
const fingers = new Map();
frame.addEventListener("pointerdown", (event) => { fingers.set(event.pointerId, [event.clientX, event.clientY]); frame.setPointerCapture(event.pointerId); });
frame.addEventListener("pointermove", (event) => {
  const last = fingers.get(event.pointerId);
  if (!last) return;
  const now = [event.clientX, event.clientY];
  if (fingers.size === 2) {
    const other = [...fingers].find(([id]) => id !== event.pointerId)[1];
    const apart = (p) => Math.hypot(p[0] - other[0], p[1] - other[1]);
    if (apart(last) > 0) zoom(apart(now) / apart(last));
  } else { place.x += now[0] - last[0]; place.y += now[1] - last[1]; settle(); }
  fingers.set(event.pointerId, now);
});
for (const end of ["pointerup", "pointercancel"]) frame.addEventListener(end, (event) => fingers.delete(event.pointerId));

// A verdict leads to the drawing that shows it.
document.addEventListener("click", (event) => {
  const link = event.target.closest("[data-drawing]");
  if (!link) return;
  event.preventDefault();
  wanted = link.dataset.drawing;
  open(document.getElementById("tab-drawing"), true);
  const choice = document.getElementById("drawing-choice");
  if (choice) { choice.value = wanted; zoom(0); draw(); }
  document.getElementById("drawing").scrollIntoView({ block: "nearest" });
});

renew();
