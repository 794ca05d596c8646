// What the phone adds to the pages for noting: entries are kept on the phone first, in a store of the browser, and sent from there
// until the home computer has named each of them in a receipt. Without this script the same forms post straight to it.
"use strict";
(() => {
  const state = document.getElementById("state");
  if (!state) return;
  const shown = new Map(); // what this page has put, to be put back if the store is taken away under it
  let db, timer, wait = 5000, sending = false, lastMs = 0, seq = 0;

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
  const done = tx => new Promise((ok, no) => { tx.oncomplete = ok; tx.onabort = tx.onerror = () => no(tx.error || new Error("not stored")); });
  const got = rq => new Promise((ok, no) => { rq.onsuccess = () => ok(rq.result); rq.onerror = () => no(rq.error); });
  function open() {
    return new Promise((ok, no) => {
      const rq = indexedDB.open("fairplot", 1);
      rq.onupgradeneeded = () => { rq.result.createObjectStore("box", {keyPath: "id"}); rq.result.createObjectStore("facts"); };
      rq.onsuccess = () => {
        db = rq.result;
        db.onversionchange = () => db.close();
        db.onclose = () => { reopen(); };
        ok(db);
      };
      rq.onerror = () => no(rq.error);
    });
  }
  async function reopen() {
    await open();
    const tx = db.transaction("box", "readwrite", {durability: "strict"});
    for (const x of shown.values()) tx.objectStore("box").put(x);
    await done(tx);
  }
  async function put(entry) {
    const x = {id: entry.id, body: JSON.stringify(entry), state: "unsent", made: Date.now()};
    for (let again = true; ; again = false) {
      try {
        const tx = db.transaction("box", "readwrite", {durability: "strict"});
        tx.objectStore("box").add(x);
        await done(tx); // only now is it kept
        shown.set(x.id, x);
        return;
      } catch (e) {
        if (!again || e.name !== "InvalidStateError") throw e;
        await reopen();
      }
    }
  }
  async function rows() { return got(db.transaction("box").objectStore("box").getAll()); }
  async function write(changed) {
    const tx = db.transaction("box", "readwrite", {durability: "strict"});
    for (const x of changed) { tx.objectStore("box").put(x); if (shown.has(x.id)) shown.set(x.id, x); }
    await done(tx);
  }

  // ---- sending: a row leaves "unsent" only by a receipt that names its id
  async function send() {
    if (sending) return;
    sending = true;
    try {
      for (;;) {
        const unsent = (await rows()).filter(x => x.state === "unsent").slice(0, 50);
        if (!unsent.length) break;
        const answer = await fetch("/api/entries", {
          method: "POST", headers: {"Content-Type": "application/json"}, cache: "no-store", redirect: "error",
          signal: AbortSignal.timeout(10000), body: JSON.stringify({entries: unsent.map(x => x.body)}),
        });
        if (answer.status === 401) { say("This phone must be joined again. What it holds is kept.", true); return; }
        if (!answer.ok || !(answer.headers.get("Content-Type") || "").startsWith("application/json")) throw new Error("no receipt");
        const receipts = await answer.json();
        await bookIs(receipts.book);
        const by = new Map((receipts.got || []).map(g => [g.id, g]));
        const changed = [];
        for (const x of unsent) {
          const g = by.get(x.id);
          if (!g) continue;
          x.state = g.is === "refused" ? "refused" : "sent";
          x.why = g.why || "";
          x.sent = Date.now();
          changed.push(x);
        }
        if (!changed.length) throw new Error("no receipt");
        await write(changed);
        wait = 5000;
        if (receipts.build && receipts.build !== document.documentElement.dataset.build) newer();
      }
      for (const path of [location.pathname]) fetch(path, {cache: "reload"}).catch(() => {});
    } catch (e) {
      clearTimeout(timer);
      timer = setTimeout(send, wait * (0.75 + Math.random() / 2));
      wait = Math.min(wait * 2, 120000);
    } finally {
      sending = false;
      await tell();
    }
  }
  // A restored copy of the book has another name: everything still held here is offered again.
  async function bookIs(name) {
    if (!name) throw new Error("no receipt");
    const facts = db.transaction("facts").objectStore("facts");
    const before = await got(facts.get("book"));
    if (before === name) return;
    if (before) await write((await rows()).filter(x => x.state === "sent").map(x => ({...x, state: "unsent"})));
    const tx = db.transaction("facts", "readwrite");
    tx.objectStore("facts").put(name, "book");
    await done(tx);
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
  async function tell() {
    const all = await rows();
    const unsent = all.filter(x => x.state === "unsent"), refused = all.filter(x => x.state === "refused");
    document.documentElement.dataset.unsent = unsent.length;
    const days = unsent.length ? (Date.now() - Math.min(...unsent.map(x => x.made))) / 864e5 : 0;
    let words = unsent.length ? `${unsent.length} kept on this phone, not sent` : "All sent";
    if (unsent.length && !navigator.serviceWorker?.controller) words += ". Keep this page open";
    if (days > 3) words += ". Bring the phone home soon: some phones empty such a store after a week";
    if (refused.length) words += `. ${refused.length} could not be read: look below`;
    say(words, unsent.length || refused.length);
    list(all);
  }
  // The last entries of this phone, newest first; words are set as text, never as markup.
  function list(all) {
    const ul = document.getElementById("kept");
    if (!ul) return;
    const items = all.sort((a, b) => b.id < a.id ? -1 : 1).slice(0, 8).map(x => {
      const e = JSON.parse(x.body), li = document.createElement("li"), what = document.createElement("span");
      what.textContent = `${e.at.slice(11, 16)} ${e.says}`;
      const how = document.createElement("span");
      how.className = "quiet";
      how.textContent = x.state === "sent" ? "arrived" : x.state === "refused" ? x.why : "not sent yet";
      li.append(what, " ", how);
      if (e.action === "add" && x.state !== "refused") {
        const b = document.createElement("button");
        b.type = "button"; b.className = "plain low"; b.textContent = "Take back";
        b.addEventListener("click", () => keep({kind: e.kind, action: "remove", target: e.id, fields: {}, says: "taken back: " + e.says}));
        li.append(" ", b);
      }
      return li;
    });
    ul.replaceChildren(...items);
  }

  // ---- noting
  function localTime() {
    const d = new Date(), off = -d.getTimezoneOffset(), pad = n => String(Math.abs(n)).padStart(2, "0");
    return new Date(d - d.getTimezoneOffset() * 60000).toISOString().slice(0, 19) + (off < 0 ? "-" : "+") + pad(Math.trunc(off / 60)) + ":" + pad(off % 60);
  }
  async function keep(entry) {
    const e = {id: uuid7(), at: localTime(), ...entry};
    try {
      await put(e);
    } catch (err) {
      say("NOT saved: this browser did not keep it. Write it on paper", true);
      return null;
    }
    navigator.vibrate?.(40);
    wait = 5000;
    await tell();
    send();
    return e;
  }
  function words(form, fields) {
    const f = form.dataset, parts = [];
    for (const name of (f.says || "").split(" ")) if (fields[name]) parts.push(fields[name]);
    return parts.join(" ") || f.kind;
  }
  function fieldsOf(form) {
    const out = {};
    for (const [name, value] of new FormData(form)) {
      if (name === "id" || name.startsWith("unit.") || value === "" || value === "?") continue;
      out[name] = out[name] ? out[name] + "," + value : value;
    }
    if (out["other-crop"]) { out.crop = out["other-crop"]; delete out["other-crop"]; }
    for (const i of form.querySelectorAll("input[name^='unit.']")) { // a bare number is understood in the unit that stands beside it
      const name = i.name.slice(5);
      if (/^[\d.,\s]+$/.test(out[name] || "")) out[name] = out[name].trim() + " " + i.value;
    }
    if (out.date === "today" || !out.date) out.date = localTime().slice(0, 10);
    else if (out.date === "yesterday") { const d = new Date(Date.now() - 864e5); out.date = new Date(d - d.getTimezoneOffset() * 60000).toISOString().slice(0, 10); }
    return out;
  }
  for (const form of document.querySelectorAll("form[data-kind]")) {
    let last = 0;
    form.addEventListener("submit", async ev => {
      ev.preventDefault();
      if (Date.now() - last < 700) return; // a second tap on an unchanged form
      const missing = form.querySelector("[data-need]:invalid, [data-need][value='']");
      const number = form.querySelector("input[inputmode=decimal]");
      if (number && number.value.trim() && !readable(number)) { number.setAttribute("aria-invalid", "true"); say(`“${number.value}” is no number: one comma or point at most`, true); number.focus(); return; }
      if (missing) { missing.focus(); return; }
      last = Date.now();
      const fields = fieldsOf(form);
      const e = await keep({kind: form.dataset.kind, action: form.dataset.action || "add", ...(fields.target ? {target: fields.target} : {}), fields, says: words(form, fields)});
      if (!e) return;
      form.dispatchEvent(new CustomEvent("kept", {detail: e}));
      for (const i of form.querySelectorAll("input[data-clear]")) i.value = "";
      form.dispatchEvent(new Event("input"));
    });
  }
  // One comma or point at most, three digits behind it at most; never a thousands mark.
  function readable(input) {
    return /^\s*\d{1,6}([.,]\d{1,3})?\s*(kg|g|l|m|cm|min|h)?\s*$/i.test(input.value);
  }

  // ---- the walk from bed to bed
  const walk = document.getElementById("walk");
  if (walk) {
    const beds = JSON.parse(document.getElementById("beds").textContent), number = walk.querySelector("input[name=mass]");
    const select = walk.querySelector("select[name=bed]"), tiles = walk.querySelector(".tiles"), save = walk.querySelector(".save");
    const title = walk.querySelector("h1"), where = walk.querySelector(".walk p"), way = document.getElementById("way");
    let at = Math.max(0, beds.findIndex(b => b.name === localStorage.getItem("bed"))), been = {};
    function show() {
      const b = beds[at] || {name: "", crops: []};
      select.value = b.name;
      title.textContent = b.name || "Bed not known";
      where.textContent = `bed ${at + 1} of ${beds.length} on your walk`;
      localStorage.setItem("bed", b.name);
      tiles.replaceChildren(...[...b.crops, ""].map((crop, i) => {
        const d = document.createElement("div"), r = document.createElement("input"), l = document.createElement("label");
        d.className = "tile"; r.type = "radio"; r.name = "crop"; r.id = "crop" + i; r.value = crop || "?"; r.checked = i === 0;
        l.htmlFor = r.id; l.textContent = crop || "Another crop";
        d.append(r, l);
        return d;
      }));
      pegs();
      name();
    }
    function pegs() {
      if (!way) return;
      const ns = "http://www.w3.org/2000/svg", n = Math.max(1, beds.length - 1), made = [];
      const line = (x, y1, y2, w) => { const l = document.createElementNS(ns, "line"); for (const [k, v] of Object.entries({x1: x, y1, x2: x, y2, "stroke-width": w, stroke: "currentColor"})) l.setAttribute(k, v); made.push(l); };
      const rail = document.createElementNS(ns, "line");
      for (const [k, v] of Object.entries({x1: 6, y1: 10, x2: 314, y2: 10, "stroke-width": 2, stroke: "currentColor"})) rail.setAttribute(k, v);
      made.push(rail);
      beds.forEach((b, i) => {
        const x = 6 + 308 * i / n;
        if (i === at) line(x, 0, 20, 6); else line(x, 4, 16, 2);
        if (been[b.name] && i !== at) {
          const c = document.createElementNS(ns, "circle");
          for (const [k, v] of Object.entries({cx: x, cy: 10, r: 4.5, fill: been[b.name] === "nothing" ? "none" : "currentColor", stroke: "currentColor", "stroke-width": 2})) c.setAttribute(k, v);
          made.push(c);
        }
      });
      way.replaceChildren(...made);
    }
    const other = document.getElementById("other-crop");
    function crop() {
      const c = walk.querySelector("input[name=crop]:checked")?.value || "?";
      return c === "?" ? other.value.trim() : c;
    }
    function name() {
      other.parentElement.hidden = (walk.querySelector("input[name=crop]:checked")?.value || "?") !== "?";
      const kg = number.value.trim().replace(",", ".");
      save.textContent = walk.elements.nothing.checked ? `Save: looked, nothing, ${crop()}` : kg ? `Save ${kg} kg ${crop()}` : "Save";
    }
    const step = by => { at = (at + by + beds.length) % beds.length; show(); };
    document.getElementById("back").addEventListener("click", ev => { ev.preventDefault(); step(-1); });
    document.getElementById("on").addEventListener("click", ev => { ev.preventDefault(); step(1); });
    walk.addEventListener("input", name);
    walk.querySelector(".keys").addEventListener("click", ev => {
      const b = ev.target.closest("button");
      if (!b) return;
      if (b.dataset.key === "off") number.value = number.value.slice(0, -1); else number.value += b.dataset.key;
      name();
    });
    walk.addEventListener("submit", ev => {
      if (!number.value.trim() && !walk.elements.nothing.checked) { ev.preventDefault(); ev.stopImmediatePropagation(); say("There is no weight yet", true); number.focus(); }
    }, true);
    walk.addEventListener("kept", ev => {
      been[beds[at]?.name] = walk.elements.nothing.checked ? "nothing" : "weighed";
      walk.elements.nothing.checked = false;
      pegs();
    });
    if (beds.length) show(); else name();
  }

  // ---- the unsent as a file, which the import page takes
  document.getElementById("as-file")?.addEventListener("click", async () => {
    const lines = (await rows()).filter(x => x.state !== "sent").map(x => x.body).join("\n");
    const a = document.createElement("a");
    a.href = URL.createObjectURL(new Blob([lines + "\n"], {type: "application/jsonl"}));
    a.download = "fairplot-not-sent.jsonl";
    a.click();
    setTimeout(() => URL.revokeObjectURL(a.href), 60000);
  });
  document.getElementById("send-now")?.addEventListener("click", () => { wait = 5000; send(); });

  // ---- work with start and stop: only the start's time is kept, so a dead phone loses nothing
  const clock = document.getElementById("work-clock");
  if (clock) {
    const minutes = clock.form.elements.time;
    const since = () => Number(localStorage.getItem("work-since") || 0);
    const face = () => { clock.textContent = since() ? `Stop (since ${new Date(since()).toTimeString().slice(0, 5)})` : "Start"; };
    clock.addEventListener("click", () => {
      if (since()) { minutes.value = Math.max(1, Math.round((Date.now() - since()) / 60000)) + " min"; localStorage.removeItem("work-since"); }
      else localStorage.setItem("work-since", Date.now());
      face();
    });
    face();
  }

  open().then(async () => {
    await tell();
    send();
    document.documentElement.dataset.ready = "yes";
    addEventListener("online", () => { wait = 5000; send(); });
    addEventListener("pageshow", send);
    document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });
    setInterval(() => { if (Number(document.documentElement.dataset.unsent)) send(); }, 30000);
  }, () => say("This browser keeps nothing (a private window?). Entries go straight to the home computer", true));

  if (navigator.serviceWorker) navigator.serviceWorker.register("/worker.js", {updateViaCache: "none"}).catch(() => {});
})();
