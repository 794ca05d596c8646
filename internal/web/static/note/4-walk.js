// The walk from bed to bed, and the weighing round.
const walk = document.getElementById("walk");
if (walk) {
  const part = s => walk.querySelector(s), number = document.getElementById("number"), save = part(".save"), tiles = part(".tiles"), select = document.getElementById("bed");
  const title = part("h1"), where = part(".walk p"), way = document.getElementById("way"), other = document.getElementById("other-crop"), fresh = document.getElementById("new-bed");
  const tare = document.getElementById("tare"), round = document.getElementById("round"), doubt = document.getElementById("doubt");
  const inRound = !!round;
  let facts = JSON.parse(document.getElementById("facts").textContent), at = 0, been = {}, lastSave = 0;
  const places = () => [...facts.beds, {id: "don't know", name: "Bed not known", crops: facts.crops.slice(0, 5)}, {id: "new", name: "A new bed", crops: []}];
  const here = () => places()[at];
  const stored = name => { try { return localStorage.getItem(name); } catch (e) { return null; } };
  const store = (name, value) => { try { localStorage.setItem(name, value); } catch (e) { /* only where the walk stood is lost */ } };

  function show() {
    const b = here();
    lastSave = 0;
    select.value = b.id;
    title.textContent = b.name;
    where.textContent = at < facts.beds.length ? `bed ${at + 1} of ${facts.beds.length} ${inRound ? "in this round" : "on your walk"}` : at === facts.beds.length ? "it waits to be sorted out" : "give it a name below";
    store("bed", b.id);
    fresh.closest(".field").hidden = b.id !== "new";
    const choices = [...b.crops.map(c => [c, c])];
    if (b.crops.length && at < facts.beds.length) choices.push(["nothing", "Looked, nothing"]);
    choices.push(["other", "Another"]);
    tiles.hidden = choices.length < 2;
    tiles.replaceChildren(...choices.map(([value, words], i) => tile(value, words, i === 0, i)));
    pegs();
    name();
  }
  function tile(value, words, checked, i) {
    const d = document.createElement("div"), r = document.createElement("input"), l = document.createElement("label");
    d.className = "tile"; r.type = "radio"; r.name = "crop"; r.id = "crop" + i; r.value = value; r.checked = checked;
    l.htmlFor = r.id; l.textContent = words;
    d.append(r, l);
    return d;
  }
  // One peg a bed: a filled knot weighed, an open knot looked and nothing, a bare peg not visited, a thick peg here.
  function pegs() {
    const made = [], n = facts.beds.length;
    const mark = (tag, attributes) => { const el = document.createElementNS("http://www.w3.org/2000/svg", tag); for (const [k, v] of Object.entries({stroke: "currentColor", "stroke-width": 2, ...attributes})) el.setAttribute(k, v); made.push(el); };
    mark("line", {x1: 6, y1: 10, x2: 314, y2: 10});
    facts.beds.forEach((b, i) => {
      const x = 6 + 308 * i / Math.max(1, n - 1);
      if (i === at) mark("line", {x1: x, y1: 0, x2: x, y2: 20, "stroke-width": 6}); else mark("line", {x1: x, y1: 4, x2: x, y2: 16});
      if (been[b.id] && i !== at) mark("circle", {cx: x, cy: 10, r: 4.5, ...(been[b.id] === "nothing" ? {class: "c-paper"} : {fill: "currentColor"})});
    });
    way.replaceChildren(...made);
  }
  const chosen = () => walk.querySelector("input[name=crop]:checked")?.value || "other";
  const crop = () => chosen() === "other" ? other.value.trim() : chosen() === "nothing" ? "" : chosen();
  const less = () => inRound ? Number(plainNumber(tare.value) || 0) : 0;
  function name() {
    other.closest(".field").hidden = chosen() !== "other";
    const kg = plainNumber(number.value), net = kg === null ? null : (Number(kg) - less());
    if (number.hasAttribute("aria-invalid") && (kg !== null || !number.value.trim())) complain(number, "");
    save.textContent = chosen() === "nothing" ? `Save: looked, nothing, ${here().name}` : net !== null ? `Save ${inRound ? net.toFixed(3) : kg} kg ${crop()}` : "Save";
    if (inRound) { document.getElementById("net").textContent = net === null ? "" : `${crop()} ${net.toFixed(3)} kg`; }
    const most = facts.most[crop()];
    doubt.textContent = net !== null && most && net > 3 * most ? `That is more than three times the most of ${crop()} so far, ${most.toFixed(1)} kg.` : "";
  }
  const step = by => { const n = places().length; at = (at + by + n) % n; complain(number, ""); show(); };
  document.getElementById("back").addEventListener("click", ev => { ev.preventDefault(); step(-1); });
  document.getElementById("on").addEventListener("click", ev => { ev.preventDefault(); step(1); });
  for (const id of ["back", "on"]) document.getElementById(id).addEventListener("keydown", ev => { if (ev.key === " ") { ev.preventDefault(); ev.currentTarget.click(); } });
  select.addEventListener("change", () => { const i = places().findIndex(b => b.id === select.value); if (i >= 0) { at = i; show(); } });
  walk.addEventListener("input", name);
  walk.addEventListener("change", () => { lastSave = 0; name(); });
  part(".keys").addEventListener("click", ev => {
    const b = ev.target.closest("button");
    if (!b) return;
    if (b.dataset.key === "off") number.value = number.value.slice(0, -1); else number.value += b.dataset.key;
    name();
  });

  walk.addEventListener("submit", async ev => {
    ev.preventDefault();
    ev.stopImmediatePropagation();
    if (keeping || Date.now() - lastSave < 700 && !number.value.trim()) return; // a second tap
    const b = here(), all = fieldsOf(walk), saved = texts(walk);
    const fields = Object.fromEntries(["date", "count", "weighing", "state", "note"].filter(k => all[k]).map(k => [k, all[k]]));
    fields.bed = b.id === "new" ? newBed(fresh.value) : b.id;
    if (!fields.bed) return complain(fresh, "Give the new bed a name, such as kitchen/1.");
    if (inRound) fields.round = round.value;
    const said = bed => b.id === "new" ? fields.bed.replace("+", "") : bed.name;
    if (chosen() === "nothing") {
      lastSave = Date.now();
      if (!await keep(...b.crops.map(c => ({kind: "harvest", action: "add", fields: {...fields, crop: c, nothing: "yes"}, says: `looked, nothing: ${c}, ${said(b)}`})))) { lastSave = 0; return; }
      been[b.id] = "nothing";
    } else {
      const kg = plainNumber(number.value);
      if (kg === null && !fields.count) return complain(number, number.value.trim() ? wrongNumber(number.value) : "There is no weight yet.");
      if (!crop()) return complain(other, "Say which crop it is.");
      if (inRound && Number(kg) < less()) return complain(number, "That is less than the empty crate.");
      fields.crop = crop();
      if (kg !== null && inRound) { fields.gross = kg + " kg"; fields.tare = less() + " kg"; } else if (kg !== null) fields.mass = kg + " kg";
      if (kg !== null && !fields.weighing) fields.weighing = "weighed";
      lastSave = Date.now();
      const amount = kg === null ? fields.count + " pieces" : `${inRound ? (Number(kg) - less()).toFixed(3) : kg} kg`;
      if (!await keep({kind: "harvest", action: "add", fields, says: `${amount} ${fields.crop}, ${said(b)}`})) { lastSave = 0; return; }
      been[b.id] = "weighed";
    }
    spend(saved);
    pegs();
    name();
  }, true);
  // A bed that nobody has noted yet: made with the entry. Without a slash it belongs to the first garden.
  function newBed(text) {
    text = text.trim().replace(/^\+/, "");
    return text ? "+" + (text.includes("/") ? text : `${facts.garden}/${text}`) : "";
  }

  // ---- the round: its sums come from what this phone holds, so they need no signal
  if (inRound) {
    const begin = () => { round.value = localTime().slice(0, 16).replace("T", " "); store("round", round.value); been = {}; };
    if ((stored("round") || "").slice(0, 10) === dayText(0)) round.value = stored("round"); else begin();
    tare.value = stored("tare") || "";
    tare.addEventListener("change", () => store("tare", tare.value));
    document.getElementById("begin").addEventListener("click", () => { begin(); tell(); show(); });
    addEventListener("told", ev => sums(ev.detail));
  }
  function sums(all) {
    const gone = voided(all), beds = new Map(), names = new Map(places().map(b => [b.id, b.name]));
    been = {};
    for (const x of all.slice().sort((a, b) => a.id < b.id ? -1 : 1)) {
      const e = JSON.parse(x.body), f = e.fields;
      if (e.kind !== "harvest" || e.action !== "add" || f.round !== round.value || gone.has(e.id) || x.state === "refused") continue;
      const key = `${names.get(f.bed) || f.bed.replace("+", "")} ${f.crop}`, row = beds.get(key) || {times: 0, kg: 0, last: e};
      if (!f.nothing) { row.times++; row.kg += parseFloat(f.gross) - parseFloat(f.tare); }
      row.last = e;
      beds.set(key, row);
      been[f.bed] = f.nothing && been[f.bed] !== "weighed" ? "nothing" : "weighed";
    }
    const cell = (tag, words, cls, span) => { const c = document.createElement(tag); c.textContent = words; if (cls) c.className = cls; if (span) c.colSpan = span; if (tag === "th") c.scope = "row"; return c; };
    let times = 0, kg = 0;
    const made = [...beds].map(([key, row]) => {
      const tr = document.createElement("tr"), end = cell("td", "", "n");
      end.append(button("Take back", () => takeBack(row.last)));
      tr.append(cell("th", key), ...(row.times ? [cell("td", row.times, "n"), cell("td", row.kg.toFixed(3), "n")] : [cell("td", "looked, nothing", "n miss", 2)]), end);
      times += row.times; kg += row.kg;
      return tr;
    });
    const sum = document.createElement("tr");
    sum.className = "sum";
    sum.append(cell("th", "so far"), cell("td", times, "n"), cell("td", kg.toFixed(3), "n"), cell("td", ""));
    document.getElementById("sums").replaceChildren(...made, sum);
    const open = facts.beds.filter(b => !been[b.id]).map(b => b.name);
    document.getElementById("open-beds").textContent = open.length ? `Not yet visited: ${open.join(", ")}. A bed you did not visit stays open; it is not a nothing.` : "Every bed was visited.";
    pegs();
  }

  addEventListener("fresh", ev => {
    const text = ev.detail.getElementById("facts")?.textContent;
    if (!text || text === JSON.stringify(facts)) return;
    const bed = here().id, was = chosen();
    facts = JSON.parse(text);
    at = Math.max(0, places().findIndex(b => b.id === bed));
    if (number.value || other.value) { pegs(); return; } // never under the hand of who is typing
    show();
    const same = [...tiles.querySelectorAll("input")].find(i => i.value === was);
    if (same) { same.checked = true; name(); }
  });
  walk.querySelector("details").open = false;
  walk.classList.add("scripted");
  at = Math.max(0, places().findIndex(b => b.id === stored("bed")));
  if (!facts.beds.length) at = 1;
  show();
}
