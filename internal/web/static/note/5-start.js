// The start of every page for noting.
if (location.search) history.replaceState(null, "", location.pathname); // "saved" and "joined" were for this once
(async () => {
  for (const x of await rows()) if (x.state !== "sent") held.set(x.id, x);
  await tell();
  if (clock) await clockFace();
  root.dataset.ready = "yes";
  performance.mark("ready");
  await clear().catch(() => {}); // a full phone: next time
  await send();
  refresh();
  const again = () => { wait = 5000; send(); };
  addEventListener("online", again);
  addEventListener("pageshow", again);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) again(); });
  setInterval(() => { if (Number(root.dataset.unsent) || waiting.size) send(); }, 30000);
  if (navigator.storage && navigator.storage.persist) navigator.storage.persist().catch(() => {});
})();

if (navigator.serviceWorker) navigator.serviceWorker.register("/worker.js", {updateViaCache: "none"}).catch(() => {});
