// The code in the picture stands behind the address's # so that no log sees it; here it moves into its field.
"use strict";
(() => {
  const field = document.getElementById("code");
  if (!field || !/^#\d{8}$/.test(location.hash)) return;
  field.value = location.hash.slice(1);
  history.replaceState(null, "", location.pathname);
  document.getElementById("name").focus();
})();
