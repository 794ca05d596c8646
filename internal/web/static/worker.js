// On https the pages for noting open with no signal: their last good copy is shelved here. What is posted never comes this way.
// The first line, with the shelf's name and its files, is written by the server.
self.addEventListener("install", ev => ev.waitUntil((async () => {
  const box = await caches.open(shelf);
  await Promise.all(files.map(async path => {
    const answer = await fetch(path, {cache: "reload"});
    if (!answer.ok || answer.redirected) throw new Error("this cannot be shelved: " + path); // else the joining page would stand in its place
    await box.put(path, answer);
  }));
  self.skipWaiting();
})()));
self.addEventListener("activate", ev => ev.waitUntil((async () => {
  for (const name of await caches.keys()) if (name.startsWith("fairplot-") && name !== shelf) await caches.delete(name);
  await clients.claim();
})()));
self.addEventListener("fetch", ev => {
  const url = new URL(ev.request.url), path = url.pathname.startsWith("/static/") ? url.pathname + url.search : url.pathname;
  if (ev.request.method !== "GET" || url.origin !== location.origin || !files.includes(path)) return;
  ev.respondWith((async () => {
    const box = await caches.open(shelf);
    if (url.pathname.startsWith("/static/")) return await box.match(path) || fetch(ev.request); // its address holds its hash
    const patience = new AbortController();
    setTimeout(() => patience.abort(), 2500);
    try {
      const answer = await fetch(path, {cache: "no-store", redirect: "manual", headers: ev.request.headers, signal: patience.signal});
      if (answer.ok) await box.put(path, answer.clone()).catch(() => {}); // a full phone shows the page all the same
      return answer;
    } catch (e) {
      const kept = await box.match(path);
      if (kept) return kept;
      throw e;
    }
  })());
});
