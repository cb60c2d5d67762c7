// The site's record on a phone. What is entered goes into a queue in the phone's own store first,
// and from there to the server, one after another; the network may come and go. Each entry carries
// a mark of its own, so that one sent twice is taken once.

const root = document.querySelector("[data-record]");
const base = root.dataset.record;
const words = root.dataset;
const waiting = document.getElementById("waiting");
const told = document.getElementById("told");
const refusedList = document.getElementById("refused");
const LONGEST_SIDE = 1600;
// The door is shut to this phone: its link is over or revoked, the page was shared anew, too many
// wrong links came from here. What was entered is not refused by that; it waits for a new link.
const SHUT = [401, 403, 404, 421, 429];

function store(mode, act) {
  return new Promise((resolve, reject) => {
    const opening = indexedDB.open("timbrel-record:" + words.job, 1);
    opening.onupgradeneeded = () => opening.result.createObjectStore("queue", { keyPath: "n", autoIncrement: true });
    opening.onerror = () => reject(opening.error);
    opening.onsuccess = () => {
      const database = opening.result;
      const asked = act(database.transaction("queue", mode).objectStore("queue"));
      asked.transaction.oncomplete = () => { database.close(); resolve(asked.result); };
      asked.transaction.onerror = () => { database.close(); reject(asked.error); };
    };
  });
}

const queued = () => store("readonly", (queue) => queue.getAll());
const put = (item) => store("readwrite", (queue) => queue.add(item));
const change = (item) => store("readwrite", (queue) => queue.put(item));
const drop = (n) => store("readwrite", (queue) => queue.delete(n));

// crypto.randomUUID is missing where a page is shared without encryption.
function mark() {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");
}

function moment(date = new Date()) {
  const off = -date.getTimezoneOffset();
  const local = new Date(date.getTime() + off * 60000).toISOString().slice(0, 19);
  const two = (n) => String(Math.floor(Math.abs(n))).padStart(2, "0");
  return local + (off < 0 ? "-" : "+") + two(off / 60) + ":" + two(off % 60);
}

async function count() {
  const items = await queued();
  waiting.textContent = items.length ? words.waiting.replace("{n}", items.length) : words.none;
  waiting.dataset.count = items.length;
}

// What was refused is told, and can be put back into its form: nothing that was typed is lost.
function refuse(sentence, item) {
  told.textContent = "";
  const line = document.createElement("li");
  line.className = "refusal";
  const why = document.createElement("p");
  why.setAttribute("role", "alert");
  why.textContent = words.refused + " " + sentence;
  line.append(why);
  const form = document.getElementById("form-" + item.kind);
  if (form && item.typed) {
    const back = document.createElement("button");
    back.type = "button";
    back.textContent = words.again;
    back.addEventListener("click", () => { line.remove(); putBack(form, item.typed); });
    line.append(back);
  }
  refusedList.append(line);
  line.scrollIntoView({ block: "nearest" });
}

function putBack(form, typed) {
  if (form.hidden) open(root.querySelector(`button.kind[data-kind="${form.dataset.kind}"]`));
  for (const [name, text] of Object.entries(typed)) form.elements[name].value = text;
  form.scrollIntoView();
}

function shut(answer, why) {
  if (!SHUT.includes(answer.status)) return false;
  told.textContent = why + " " + words.shut;
  knocking = false;
  return true;
}

let sending = false;
let knocking = true;
async function send() {
  if (sending || !knocking) return;
  sending = true;
  try {
    for (let items = await queued(); items.length; items = await queued()) {
      if (!(await sendOne(items[0]))) break;
      await count();
    }
  } finally {
    sending = false;
    await count();
  }
}

// True when the entry is off the queue: taken, or refused for good.
async function sendOne(item) {
  try {
    if (item.photo && !item.body.digest) {
      const answer = await fetch(base + "/photos", { method: "POST", body: item.photo });
      if (answer.status >= 500) return false;
      if (!answer.ok) return turnedAway(item, answer);
      Object.assign(item.body, await answer.json());
      await change(item);
    }
    const { uid, kind, body, at } = item;
    const answer = await fetch(base + "/entries", {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify([{ uid, kind, body, at }]),
    });
    if (answer.status >= 500) return false;
    if (!answer.ok) return turnedAway(item, answer);
    const [taken] = await answer.json();
    if (taken.refused) refuse(taken.refused, item);
    else told.textContent = words.taken.replace("{n}", taken.seq) + (taken.told ? " " + taken.told : "");
    await drop(item.n);
    for (const id of ["lines", "built"]) document.getElementById(id).dispatchEvent(new Event("refresh"));
    return true;
  } catch {
    told.textContent = words.kept;
    return false;
  }
}

async function turnedAway(item, answer) {
  const why = await sentence(answer);
  if (shut(answer, why)) return false;
  refuse(why, item);
  await drop(item.n);
  return true;
}

async function sentence(answer) {
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  return (page.querySelector("main") || page.body).textContent.trim();
}

async function smaller(box) {
  const picture = await createImageBitmap(box.files[0]).catch(() => { throw new Missing(box, words.picture); });
  const scale = Math.min(1, LONGEST_SIDE / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(picture.width * scale);
  canvas.height = Math.round(picture.height * scale);
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  return new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.8));
}

class Missing extends Error {
  constructor(box, why) { super(why); this.box = box; }
}

function read(form) {
  const body = {};
  for (const box of form.elements) {
    if (!box.name || box.type === "file") continue;
    const text = box.value.trim();
    if (!text) {
      if (box.required) throw new Missing(box, words.needed);
      continue;
    }
    if (box.dataset.now !== undefined) {
      const [hour, minute] = text.split(":").map(Number);
      const at = new Date();
      at.setHours(hour, minute, 0, 0);
      body[box.name] = moment(at);
    } else if (box.dataset.scale) {
      const number = Number(text.replace(",", "."));
      if (!Number.isFinite(number)) throw new Missing(box, words.number);
      const whole = box.dataset.whole !== undefined;
      if (whole && !Number.isInteger(number)) throw new Missing(box, words.whole);
      body[box.name] = whole ? number : number * Number(box.dataset.scale);
    } else {
      body[box.name] = text;
    }
  }
  if (form.dataset.kind === "day") body.day = moment().slice(0, 10);
  return body;
}

async function enter(form) {
  const why = form.querySelector("[data-part=why]");
  why.textContent = "";
  for (const box of form.elements) box.removeAttribute("aria-invalid");
  try {
    const body = read(form);
    const typed = Object.fromEntries([...form.elements].filter((box) => box.name && box.type !== "file").map((box) => [box.name, box.value]));
    const item = { uid: mark(), kind: form.dataset.kind, body, at: moment(), typed };
    const file = form.querySelector("input[type=file]");
    if (file) {
      if (!file.files.length) throw new Missing(file, words.needed);
      item.photo = await smaller(file);
    }
    await put(item);
    await count();
    knocking = true;
    form.reset();
    for (const box of form.querySelectorAll("[data-start]")) box.value = box.dataset.start;
    await send();
  } catch (error) {
    if (!(error instanceof Missing)) throw error;
    error.box.setAttribute("aria-invalid", "true");
    error.box.focus();
    why.textContent = error.message;
  }
}

function open(button) {
  for (const other of root.querySelectorAll("button.kind")) {
    const chosen = other === button && other.getAttribute("aria-expanded") !== "true";
    other.setAttribute("aria-expanded", String(chosen));
    const form = document.getElementById("form-" + other.dataset.kind);
    form.hidden = !chosen;
    if (!chosen) continue;
    for (const box of form.querySelectorAll("[data-now]")) box.value = moment().slice(11, 16);
    form.querySelector("input, select").focus();
  }
}

root.addEventListener("click", (event) => {
  const button = event.target.closest("button.kind");
  if (button) open(button);
});
root.addEventListener("submit", (event) => {
  if (!event.target.classList.contains("entryform")) return;
  event.preventDefault();
  enter(event.target);
});
window.addEventListener("online", () => { knocking = true; send(); });
setInterval(send, 5000);
if (waiting) send();
