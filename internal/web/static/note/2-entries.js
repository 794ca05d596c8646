// Entries: what a form says, kept in the outbox; the last ones of this phone, and taking back.
const pad = n => String(Math.abs(n)).padStart(2, "0");
function localTime(d = new Date()) {
  const off = -d.getTimezoneOffset();
  return new Date(d - d.getTimezoneOffset() * 60000).toISOString().slice(0, 19) + (off < 0 ? "-" : "+") + pad(Math.trunc(off / 60)) + ":" + pad(off % 60);
}
const dayText = back => localTime(new Date(Date.now() - back * 864e5)).slice(0, 10);
// keep keeps the entries of one form, all of them or none, and returns them; null if nobody has them, and then the form stays as it is. Saved again
// unchanged they are the same entries with the same ids, since they may have arrived although no answer came back.
let keeping = false, unkept = null;
async function keep(...wanted) {
  if (keeping) return null; // a second tap: handlers look first, this is for those that do not
  keeping = true; // until the page has been told, and the form is cleared in the same breath
  try {
    return await keepNow(wanted);
  } finally {
    keeping = false;
  }
}
async function keepNow(wanted) {
  const form = JSON.stringify(wanted.map(e => [e.kind, e.action, e.target, e.fields]));
  const made = unkept && unkept.form === form ? unkept.made : wanted.map(e => ({id: uuid7(), at: localTime(), ...e}));
  let there = true;
  lost = root.dataset.failed = "";
  try {
    await put(made);
  } catch (e) {
    const why = e.name === "QuotaExceededError" ? "this phone is full" : "this browser keeps nothing here (a full phone, or a private window)";
    say(`NOT kept: ${why}. It is being sent straight to the home computer`, true);
    [there, lost] = await straight(made, why);
  }
  if (!there) unkept = {form, made};
  else if (made[0].action !== "remove") unkept = null; // taking back leaves the form as it is
  beside(lost);
  wait = 5000;
  await tell();
  root.dataset.failed = there ? "no" : "yes";
  if (!there) return null;
  if (navigator.vibrate) navigator.vibrate(40);
  send();
  return made;
}
// texts are what stands in the fields that a save empties; spend takes just that out of them, so that what is typed on meanwhile stays.
const texts = form => new Map([...form.querySelectorAll("[data-clear]")].map(i => [i, i.value]));
function spend(saved) { for (const [i, text] of saved) if (i.value.startsWith(text)) i.value = i.value.slice(text.length); }
// straight sends what could not be kept: whether it arrived, and how it went in words.
async function straight(made, why) {
  let then = "the home computer is not reached";
  try {
    const receipts = await offer(made.map(e => rowOf(e)));
    const answers = made.map(e => receipts.got.find(g => g.id === e.id) || {}), no = answers.find(g => g.is !== "new" && g.is !== "had");
    made.forEach((e, i) => { if (["new", "had"].includes(answers[i].is)) loose.set(e.id, {...rowOf(e, "sent"), why: answers[i].why || "", sent: Date.now()}); });
    if (!no) return [true, `Sent straight to the home computer. Nothing can be kept here, since ${why}`];
    if (no.is === "refused") return [false, `NOT saved: the home computer refused it: ${no.why}`];
    if (no.is === "later") then = "what it takes back has not come to the home computer yet";
  } catch (e) {
    if (e.message === "join") then = "the home computer wants this phone joined again";
  }
  return [false, `NOT saved: ${why}, and ${then}. Leave it in the form and save again in reach of the home computer, make room on this phone, or write it on paper`];
}
// beside says the first of it at the button, too: in a long form the state line is out of sight.
function beside(words) {
  for (const save of document.querySelectorAll(".save")) {
    let why = save.previousElementSibling;
    if (!why || !why.classList.contains("unkept")) {
      if (!words) continue;
      why = document.createElement("p");
      why.className = "why unkept";
      save.before(why);
    }
    why.textContent = words.split(". ")[0];
    why.hidden = !words;
  }
}
const takeBack = e => keep({kind: e.kind, action: "remove", target: e.id, fields: {}, says: e.says});

// ---- numbers: one comma or point at most, three digits behind it at most; never a thousands mark; a unit behind it is taken off
function plainNumber(text) {
  const t = text.trim().replace(/\s*(kg|g|l|m|cm|min|h)\.?$/i, "");
  return /^\d{1,6}([.,]\d{1,3})?$/.test(t) ? t.replace(",", ".") : null;
}
function wrongNumber(text) {
  const marks = (text.match(/[.,]/g) || []).length;
  if (marks > 1) return `“${text}” has ${marks === 2 ? "two" : "several"} marks. A number has one comma or point at most.`;
  if (/[^\d.,\s]/.test(text)) return `“${text}” is no number. Write figures, such as 1.250.`;
  return `“${text}” cannot be read. Write figures, such as 1.250.`;
}
function complain(input, words) {
  const box = input.closest(".field, .plate") || input.parentElement, id = "why-" + input.id;
  let why = document.getElementById(id);
  if (!why) {
    why = document.createElement("span");
    why.className = "why"; why.id = id; why.setAttribute("role", "alert");
    box.before(why);
  }
  why.textContent = words;
  why.hidden = !words;
  box.classList.toggle("wrong", !!words);
  if (words) { input.setAttribute("aria-invalid", "true"); input.setAttribute("aria-describedby", id); input.focus(); } else { input.removeAttribute("aria-invalid"); }
}

// ---- what a form says. The same three rules stand in forms.go for phones without this script: "x.other" stands in for x; a bare
// number in x is understood in unit.x; several values of one name are joined by commas.
function fieldsOf(form) {
  const out = {}, units = {}, others = {};
  for (const [name, value] of new FormData(form)) {
    const v = typeof value === "string" ? value.trim() : "";
    if (!v || name === "id") continue;
    if (name.startsWith("unit.")) units[name.slice(5)] = v;
    else if (name.endsWith(".other")) others[name.slice(0, -6)] = v;
    else if (v !== "other") out[name] = out[name] ? out[name] + "," + v : v;
  }
  Object.assign(out, others);
  for (const [name, unit] of Object.entries(units)) if (out[name] && /^[\d.,\s]+$/.test(out[name])) out[name] += " " + unit;
  for (const name of ["date", "on"]) {
    if (out[name] === "today") out[name] = dayText(0);
    if (out[name] === "yesterday") out[name] = dayText(1);
  }
  return out;
}
// In words, as the last line says it: labels of what was chosen, and what was typed.
function wordsOf(form, fields) {
  const parts = [];
  for (const name of (form.dataset.says || "").split(" ")) {
    if (!fields[name]) continue;
    const chosen = [...form.querySelectorAll(`[name="${name}"]:checked, select[name="${name}"]`)]
      .map(i => i.tagName === "SELECT" ? (i.value ? i.selectedOptions[0].textContent.trim() : "") : i.dataset.says || i.value).filter(Boolean);
    parts.push(chosen.length && !form.querySelector(`[name="${name}.other"]`)?.value ? chosen.join(", ") : fields[name]);
  }
  return parts.join(", ") || form.dataset.kind;
}

// ---- the last entries of this phone; words are set as text, never as markup
function lineOf(x) {
  const e = JSON.parse(x.body), li = document.createElement("li"), what = document.createElement("span"), how = document.createElement("span");
  what.textContent = `${e.at.slice(11, 16)} ${e.action === "remove" ? "Taken back: " : ""}${e.says || e.kind}`;
  how.className = "quiet";
  how.textContent = x.state === "sent" ? "arrived" + (x.why ? ": " + x.why : "") : x.state === "refused" ? "refused: " + x.why : "not sent yet";
  li.append(what, " ", how);
  return {li, e};
}
function button(words, run) {
  const b = document.createElement("button");
  b.type = "button"; b.className = "plain low"; b.textContent = words;
  b.addEventListener("click", run);
  return b;
}
function voided(all) { return new Set(all.map(x => JSON.parse(x.body)).filter(e => e.action === "remove").map(e => e.target)); }
function list(ul, some, gone) {
  ul.replaceChildren(...some.map(x => {
    const {li, e} = lineOf(x);
    if (x.state === "refused") li.append(" ", button("Leave it out", async () => { x.state = "sent"; x.why = "left out"; await write([x]); tell(); }));
    else if (e.action !== "remove" && !gone.has(e.id)) li.append(" ", button("Take back", () => takeBack(e)));
    return li;
  }));
  if (!some.length) { const li = document.createElement("li"); li.textContent = "Nothing"; ul.append(li); }
}
addEventListener("told", ev => {
  const all = ev.detail.slice().sort((a, b) => b.id < a.id ? -1 : 1), gone = voided(all);
  for (const [id, some] of [
    ["kept", all.slice(0, 5)], ["unsent", all.filter(x => x.state === "unsent")], ["refused", all.filter(x => x.state === "refused")],
    ["sent", all.filter(x => x.state === "sent").slice(0, 40)],
  ]) {
    const ul = document.getElementById(id);
    if (ul) list(ul, some, gone);
  }
  const last = document.getElementById("last"), x = all.find(x => { const e = JSON.parse(x.body); return e.action !== "remove" && !gone.has(e.id) && x.state !== "refused"; });
  if (!last) return;
  last.querySelector("span").textContent = x ? "Last: " + JSON.parse(x.body).says : "Nothing noted yet";
  const b = last.querySelector("button");
  b.hidden = !x;
  b.onclick = x ? () => takeBack(JSON.parse(x.body)) : null;
});

// ---- the unsent as a file, which the import page and the command line take
document.getElementById("as-file")?.addEventListener("click", async () => {
  const lines = (await rows()).filter(x => x.state !== "sent").map(x => x.body).join("\n");
  const a = document.createElement("a");
  a.href = URL.createObjectURL(new Blob([lines ? lines + "\n" : ""], {type: "application/jsonl"}));
  a.download = "fairplot-not-sent.jsonl";
  a.click();
  setTimeout(() => URL.revokeObjectURL(a.href), 60000);
});
document.getElementById("send-now")?.addEventListener("click", () => { wait = 5000; send(); });
