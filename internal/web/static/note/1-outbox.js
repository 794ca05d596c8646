// The outbox. An entry is kept on the phone first, in a store of the browser, and sent from there until the home computer has
// named it in a receipt. Without this script the same forms post straight to it. The files of this folder are served as one.
const state = document.getElementById("state"), root = document.documentElement;
const held = new Map(); // what this page has put or found unsent, to be put back if the store is taken away under it
const loose = new Map(); // rows that only this page knows, since the store has no room: how they stand now
const waiting = new Map(); // pictures that found no room
let drawing = 0; // pictures on their way into the store
const keptDays = 60;
let db, book, timer, wait = 5000, sending = false, anew = false, lastMs = 0, seq = 0, trouble = "", lost = "", shut = "", clockOff = 0;

// ---- identities: UUID version 7 (RFC 9562); a counter keeps those of one phone in the order they were made
function uuid7(now = Date.now()) {
  const b = crypto.getRandomValues(new Uint8Array(16));
  if (now <= lastMs) { now = lastMs; seq++; } else { lastMs = now; seq = (b[6] << 8 | b[7]) & 0x7ff; }
  if (seq > 0xfff) { lastMs = ++now; seq = 0; }
  for (let i = 5, t = now; i >= 0; i--) { b[i] = t % 256; t = Math.floor(t / 256); }
  b[6] = 0x70 | seq >> 8; b[7] = seq & 255; b[8] = 0x80 | b[8] & 0x3f;
  const h = [...b].map(x => x.toString(16).padStart(2, "0")).join("");
  return [h.slice(0, 8), h.slice(8, 12), h.slice(12, 16), h.slice(16, 20), h.slice(20)].join("-");
}

// ---- the store
const done = tx => new Promise((ok, no) => { tx.oncomplete = ok; tx.onabort = tx.onerror = ev => no(tx.error || ev.target.error || new Error("not stored")); });
const got = rq => new Promise((ok, no) => { rq.onsuccess = () => ok(rq.result); rq.onerror = () => no(rq.error); });
function open() {
  return new Promise((ok, no) => {
    const rq = indexedDB.open("fairplot", 1);
    setTimeout(() => no(new Error("the store does not open")), 8000);
    rq.onupgradeneeded = () => {
      rq.result.createObjectStore("box", {keyPath: "id"});
      rq.result.createObjectStore("pictures", {keyPath: "id"});
      rq.result.createObjectStore("facts");
    };
    rq.onblocked = () => say("Close the other Fairplot pages on this phone", true);
    rq.onsuccess = () => {
      db = rq.result;
      db.onversionchange = () => db.close();
      db.onclose = () => reopen().then(tell, () => {});
      ok(db);
    };
    rq.onerror = () => no(rq.error);
  });
}
// The browser may take the store away while the page is open (a full phone, "clear site data"): what the page holds goes back in.
async function reopen() {
  await open();
  const tx = db.transaction("box", "readwrite", {durability: "strict"});
  for (const x of held.values()) tx.objectStore("box").put(x);
  await done(tx);
}
// within runs in a transaction; only when that has completed, on the disk, is anything kept. While the browser is taking the store away
// nothing works for a moment: it is tried again on a new one.
async function within(stores, mode, run) {
  if (!db) await open();
  for (let tries = 4; ; tries--) {
    try {
      const tx = db.transaction(stores, mode, {durability: "strict"});
      const out = run(tx);
      if (mode === "readonly") return await out;
      await done(tx);
      return out;
    } catch (e) {
      if (tries === 1 || e.name === "QuotaExceededError") throw e;
      await new Promise(ok => setTimeout(ok, 30 * (5 - tries)));
      await reopen().catch(() => {});
    }
  }
}
// rows are all that this phone holds. Where the store cannot be read (a private window, cookies refused) this page's own memory stands in for it.
async function rows() {
  let all = [...held.values()];
  try {
    all = await within("box", "readonly", tx => got(tx.objectStore("box").getAll()));
    shut = "";
  } catch (e) {
    shut = "This browser keeps nothing here (a full phone, a private window, or cookies not allowed for this address). Note while the home computer is in reach, or on paper";
  }
  return [...all.filter(x => !loose.has(x.id)), ...loose.values()];
}
const fact = name => within("facts", "readonly", tx => got(tx.objectStore("facts").get(name)));
const setFact = (name, value) => within("facts", "readwrite", tx => { tx.objectStore("facts").put(value, name); });
const dropFact = name => within("facts", "readwrite", tx => { tx.objectStore("facts").delete(name); });
const rowOf = (e, state) => ({id: e.id, body: JSON.stringify(e), state, made: Date.now()});
async function put(entries) {
  const made = entries.map(e => rowOf(e, "unsent"));
  await within("box", "readwrite", tx => { for (const x of made) tx.objectStore("box").put(x); });
  for (const x of made) held.set(x.id, x);
}
// write changes rows. Where there is no room even for that, this page remembers how they stand, and what has arrived leaves the store.
async function write(changed) {
  const arrived = changed.filter(x => x.state === "sent");
  try {
    await within("box", "readwrite", tx => { for (const x of changed) tx.objectStore("box").put(x); });
    for (const x of changed) loose.delete(x.id);
  } catch (e) {
    for (const x of changed) loose.set(x.id, x);
    await within("box", "readwrite", tx => { for (const x of arrived) tx.objectStore("box").delete(x.id); }).catch(() => {});
  }
  for (const x of changed) if (x.state === "sent") held.delete(x.id); else held.set(x.id, x);
}
// Sent rows stay for two months, as a second copy of the book.
async function clear() {
  const old = (await rows()).filter(x => x.state === "sent" && Date.now() - x.sent > keptDays * 864e5);
  if (old.length) await within("box", "readwrite", tx => { for (const x of old) tx.objectStore("box").delete(x.id); });
}

// AbortSignal.timeout is younger than some phones.
function within10s() {
  const c = new AbortController();
  setTimeout(() => c.abort(), 10000);
  return c.signal;
}

// ---- sending: a row leaves "unsent" only by a receipt that names its id
async function post(path, body, kind) {
  const answer = await fetch(path, {method: "POST", headers: {"Content-Type": kind}, cache: "no-store", redirect: "error", signal: within10s(), body});
  if (answer.status === 401) { trouble = "join"; throw new Error("join"); }
  if (!answer.ok || !(answer.headers.get("Content-Type") || "").startsWith("application/json")) throw new Error("no receipt");
  const receipts = await answer.json();
  if (typeof receipts.book !== "string" || !receipts.book || !Array.isArray(receipts.got)) throw new Error("no receipt");
  return receipts;
}
const offer = some => post("/api/entries", JSON.stringify({entries: some.map(x => x.body)}), "application/json");
async function send() {
  if (sending) { anew = true; return; } // what came in meanwhile goes next
  sending = true;
  anew = false;
  clearTimeout(timer);
  let sent = 0;
  const later = new Set(); // those that wait for another phone's entry
  try {
    for (;;) {
      const unsent = (await rows()).filter(x => x.state === "unsent" && !later.has(x.id)).slice(0, 50);
      if (!unsent.length) break;
      const receipts = await offer(unsent);
      await bookIs(receipts.book);
      sent += await takeReceipts(unsent, receipts, later);
    }
    sent += await sendPictures();
    wait = 5000;
    trouble = "";
    if (sent) refresh();
  } catch (e) {
    if (e.message !== "join") trouble = "reach";
    timer = setTimeout(send, wait * (0.75 + Math.random() / 2));
    wait = Math.min(wait * 2, 120000);
  } finally {
    sending = false;
    await tell().catch(() => {});
    if (anew && !trouble) send();
  }
}
async function takeReceipts(unsent, receipts, later) {
  const by = new Map(receipts.got.map(g => [g.id, g])), changed = [];
  let known = 0;
  for (const x of unsent) {
    const g = by.get(x.id);
    if (!g || !["new", "had", "refused", "later"].includes(g.is)) continue;
    known++;
    if (g.is === "later") { later.add(x.id); continue; }
    x.state = g.is === "refused" ? "refused" : "sent";
    x.why = g.why || "";
    x.sent = Date.now();
    changed.push(x);
  }
  if (!known) throw new Error("no receipt");
  await write(changed);
  if (receipts.now) clockOff = (Date.now() - Date.parse(receipts.now)) / 60000;
  if (receipts.build && receipts.build !== root.dataset.build) newer();
  return changed.length;
}
// A restored copy of the book has another name: everything still held here is offered again.
async function bookIs(name) {
  const before = book || await fact("book").catch(() => "");
  if (before === name) return;
  if (before) await write((await rows()).filter(x => x.state === "sent").map(x => ({...x, state: "unsent"})));
  book = name;
  await setFact("book", name).catch(() => {}); // a phone without room for it finds out again next time
}
// Pictures have a queue of their own, after the entries: a note never waits for its picture.
async function sendPictures() {
  const stored = await within("pictures", "readonly", tx => got(tx.objectStore("pictures").getAll())).catch(() => []);
  let sent = 0;
  for (const p of [...stored, ...waiting.values()]) {
    const receipts = await post(`/api/pictures/${p.id}?note=${p.note}`, p.bytes, "image/jpeg");
    const g = receipts.got.find(g => g.id === p.id);
    if (!g) throw new Error("no receipt");
    if (g.is === "later") continue;
    if (!waiting.delete(p.id)) await within("pictures", "readwrite", tx => { tx.objectStore("pictures").delete(p.id); });
    sent++;
  }
  return sent;
}
// The browser's own copy of this page is made anew, so that its address opens without a signal and with today's beds.
async function refresh() {
  try {
    const answer = await fetch(location.pathname, {cache: "reload", headers: {"X-Keep": "1"}, redirect: "error", signal: within10s()});
    if (answer.ok) dispatchEvent(new CustomEvent("fresh", {detail: new DOMParser().parseFromString(await answer.text(), "text/html")}));
  } catch (e) { /* no signal: the copy there is stays */ }
}
function newer() {
  const a = document.getElementById("newer");
  if (a) a.hidden = false;
}

// ---- telling
function say(words, kept) {
  state.querySelector("span").textContent = words;
  state.classList.toggle("kept", !!kept);
}
const things = n => n === 1 ? "1 entry" : `${n} entries`;
async function tell() {
  const all = await rows();
  const unsent = all.filter(x => x.state === "unsent"), refused = all.filter(x => x.state === "refused");
  root.dataset.unsent = unsent.length;
  root.dataset.refused = refused.length;
  root.dataset.trouble = trouble;
  const words = lost ? [lost] : [], one = waiting.size === 1;
  if (unsent.length) words.push(`${unsent.length} ${shut ? "held by this page alone" : "kept on this phone"}, not sent`);
  else if (!lost) words.push(shut || "All sent");
  if (trouble === "join") words.push("This phone must be joined again; what it holds stays");
  else if ((unsent.length || waiting.size) && trouble === "reach") words.push(`Home computer not reached, next try in ${Math.round(wait / 2000)} s`);
  if (waiting.size) words.push(`${one ? "The picture of a note" : waiting.size + " pictures"} found no room on this phone: keep this page open until the home computer has ${one ? "it" : "them"}, or do without`);
  else if (unsent.length && !(navigator.serviceWorker && navigator.serviceWorker.controller)) words.push("Keep this page open");
  if (unsent.length && Date.now() - Math.min(...unsent.map(x => x.made)) > 3 * 864e5) words.push("Bring the phone home soon: some phones empty such a store after a week");
  if (refused.length) words.push(`${refused.length} refused`);
  if (Math.abs(clockOff) > 10) words.push(`This phone's clock is ${Math.round(Math.abs(clockOff))} min ${clockOff > 0 ? "ahead of" : "behind"} the home computer's`);
  root.dataset.pictures = waiting.size + drawing;
  say(words.join(". "), unsent.length || refused.length || trouble || lost || shut || waiting.size);
  dispatchEvent(new CustomEvent("told", {detail: all}));
}
