// The code in the picture stands behind the address's # so that no log sees it; here it moves into its field. What a phone holds that is joined no
// longer can be saved from here, since it gets no other page.
"use strict";
(() => {
  const field = document.getElementById("code");
  // navigator.cookieEnabled says yes also where the browser refuses them for this address.
  if (!document.cookie.includes("fairplot-trial=")) document.getElementById("refuses").hidden = false;
  if (/^#\d{8}$/.test(location.hash)) {
    field.value = location.hash.slice(1);
    history.replaceState(null, "", location.pathname);
    document.getElementById("name").focus();
  }

  let rq;
  try { rq = indexedDB.open("fairplot", 1); } catch (e) { return; } // refused with the cookies
  rq.onupgradeneeded = () => rq.transaction.abort(); // nothing was ever noted here, and this page makes no store
  rq.onsuccess = () => {
    rq.result.onversionchange = () => rq.result.close();
    const all = rq.result.transaction("box", "readonly").objectStore("box").getAll();
    all.onsuccess = () => { rq.result.close(); offer(all.result.filter(x => x.state !== "sent").map(x => x.body)); };
  };
  function offer(lines) {
    if (!lines.length) return;
    document.getElementById("how-many").textContent = lines.length === 1 ? "1 entry is" : `${lines.length} entries are`;
    document.getElementById("held").hidden = false;
    document.getElementById("as-file").addEventListener("click", () => {
      const a = document.createElement("a");
      a.href = URL.createObjectURL(new Blob([lines.join("\n") + "\n"], {type: "application/jsonl"}));
      a.download = "fairplot-not-sent.jsonl";
      a.click();
      setTimeout(() => URL.revokeObjectURL(a.href), 60000);
    });
  }
})();
