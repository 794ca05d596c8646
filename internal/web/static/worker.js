// On https the pages for noting open with no signal: their last good copy is shelved here. What is posted never comes this way.
"use strict";
const shelf = "fairplot-pages";
const mine = url => url.origin === location.origin && (url.pathname.startsWith("/note") || url.pathname.startsWith("/static/"));
self.addEventListener("install", ev => ev.waitUntil((async () => {
  const answer = await fetch("/note/harvest", {cache: "reload"});
  if (!answer.ok || answer.redirected) throw new Error("the page cannot be shelved"); // else the joining page would stand in its place
  await (await caches.open(shelf)).put("/note/harvest", answer);
  self.skipWaiting();
})()));
self.addEventListener("activate", ev => ev.waitUntil(clients.claim()));
self.addEventListener("fetch", ev => {
  const url = new URL(ev.request.url);
  if (ev.request.method !== "GET" || !mine(url)) return;
  ev.respondWith((async () => {
    const box = await caches.open(shelf);
    try {
      const answer = await fetch(ev.request, {signal: AbortSignal.timeout(2500)});
      if (answer.ok && !answer.redirected) await box.put(ev.request, answer.clone());
      return answer;
    } catch (e) {
      const kept = await box.match(ev.request, {ignoreVary: true});
      if (kept) return kept;
      throw e;
    }
  })());
});
