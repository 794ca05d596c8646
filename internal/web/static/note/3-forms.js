// Forms: kept in the outbox instead of posted, with the choices of last time, loads by the piece, work by the clock, and pictures.
for (const form of document.querySelectorAll("form[data-kind]")) {
  let last = 0, left = ""; // when it was saved last, and what it said after that
  const remembered = "last." + location.pathname;
  form.addEventListener("submit", async ev => {
    ev.preventDefault();
    if (keeping || Date.now() - last < 700 && JSON.stringify(fieldsOf(form)) === left) return; // a second tap
    if (!goodNumbers(form) || !filled(form)) return;
    const fields = fieldsOf(form), saved = texts(form), file = form.querySelector("input[type=file]"), picture = file && file.files[0];
    const kept = await keep({kind: form.dataset.kind, action: form.dataset.action || "add", ...(fields.target ? {target: fields.target} : {}), fields: without(fields, "target"), says: wordsOf(form, fields)});
    if (!kept) return;
    if (picture) { keepPicture(picture, kept[0].id); file.value = ""; }
    remember(form, remembered);
    last = Date.now();
    spend(saved);
    left = JSON.stringify(fieldsOf(form));
    form.dispatchEvent(new Event("input"));
  });
  recall(form, remembered);
}
function without(fields, name) { const out = {...fields}; delete out[name]; return out; }
function goodNumbers(form) {
  for (const i of form.querySelectorAll("input[inputmode=decimal], input[inputmode=numeric]")) {
    const wrong = i.value.trim() && plainNumber(i.value) === null ? wrongNumber(i.value) : "";
    if (wrong || i.hasAttribute("aria-invalid")) complain(i, wrong);
    if (wrong) return false;
  }
  return true;
}
function filled(form) {
  for (const box of form.querySelectorAll("[data-need]")) {
    const some = [...box.querySelectorAll("input, select, textarea")].some(i => i.type === "checkbox" || i.type === "radio" ? i.checked : i.value.trim());
    const first = box.querySelector("input:not([type=hidden]), select, textarea");
    if (!some) { complain(first, box.dataset.need); return false; }
    if (first.hasAttribute("aria-invalid")) complain(first, "");
  }
  return true;
}
function remember(form, name) {
  const chosen = {};
  for (const i of form.querySelectorAll("[data-last]")) {
    if (i.type === "radio") { if (i.checked) chosen[i.name] = i.value; } else chosen[i.name] = i.value;
  }
  try { localStorage.setItem(name, JSON.stringify(chosen)); } catch (e) { /* a default is lost, nothing else */ }
}
function recall(form, name) {
  let chosen = {};
  try { chosen = JSON.parse(localStorage.getItem(name) || "{}"); } catch (e) { return; }
  for (const i of form.querySelectorAll("[data-last]")) {
    if (!(i.name in chosen)) continue;
    if (i.type === "radio") i.checked = i.value === chosen[i.name]; else i.value = chosen[i.name];
  }
}

// ---- the button says what it will save
for (const form of document.querySelectorAll("form[data-kind]:not(#walk)")) {
  const save = form.querySelector(".save"), plain = save.textContent;
  const name = () => {
    const f = fieldsOf(form), what = f.amount || f.time || f.plants || f.value || f.how || f.crop || "";
    save.textContent = what ? `${plain}: ${what}` : plain;
  };
  form.addEventListener("input", name);
  form.addEventListener("change", name);
  addEventListener("load", name);
}

// ---- loads: one less, one more
for (const b of document.querySelectorAll("button[data-step]")) {
  b.addEventListener("click", () => {
    const i = document.getElementById(b.dataset.of);
    i.value = Math.max(0, (Number(plainNumber(i.value) || 0) || 0) + Number(b.dataset.step)) || "";
    i.dispatchEvent(new Event("input", {bubbles: true}));
  });
}

// ---- work by the clock: only the start is kept, so a dead phone loses nothing; on a full one it is good while this page is open
const clock = document.getElementById("work-clock");
let began = 0;
const workSince = async () => began || await fact("work-since").catch(() => 0);
async function clockFace() {
  const since = await workSince();
  clock.textContent = since ? `Stop (since ${new Date(since).toTimeString().slice(0, 5)})` : "Start now";
  clock.dataset.running = since ? "yes" : "no";
}
if (clock) clock.addEventListener("click", async () => {
  const since = await workSince(), minutes = clock.form.elements.time;
  lost = "";
  if (since) {
    minutes.value = Math.max(1, Math.round((Date.now() - since) / 60000));
    began = 0;
    await dropFact("work-since").catch(() => {});
  } else {
    const now = Date.now();
    await setFact("work-since", now).catch(() => { began = now; lost = "NOT kept: when you began. Keep this page open, or write the time down"; });
  }
  minutes.dispatchEvent(new Event("input", {bubbles: true}));
  await tell();
  clockFace();
});

// ---- pictures: drawn anew at most 1,600 dots wide, which also leaves behind where they were taken. One that finds no room waits in this page.
async function keepPicture(file, note) {
  root.dataset.pictures = waiting.size + ++drawing;
  try {
    const p = {id: uuid7(), note, bytes: await drawn(file)};
    await within("pictures", "readwrite", tx => { tx.objectStore("pictures").put(p); }).catch(() => { waiting.set(p.id, p); });
  } catch (e) {
    lost = "The note is saved. Its picture could not be read";
  }
  drawing--;
  await tell();
  send();
}
async function drawn(file) {
  const bitmap = await createImageBitmap(file), scale = Math.min(1, 1600 / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(bitmap.width * scale); canvas.height = Math.round(bitmap.height * scale);
  canvas.getContext("2d").drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  bitmap.close();
  return (await new Promise(ok => canvas.toBlob(ok, "image/jpeg", 0.8))).arrayBuffer();
}
addEventListener("beforeunload", ev => { if (waiting.size || drawing) { ev.preventDefault(); ev.returnValue = ""; } });
