// On the grid Enter goes down, Tab goes right, and the sum of the rows is shown while they are typed.
"use strict";
(() => {
  const form = document.getElementById("grid"), sum = document.getElementById("rows-sum");
  if (!form) return;
  const cells = [...form.querySelectorAll("input[name^='kg']")];
  const add = () => {
    const s = cells.reduce((t, c) => t + (/^\s*\d{1,6}([.,]\d{1,3})?\s*$/.test(c.value) ? Number(c.value.trim().replace(",", ".")) : 0), 0);
    sum.textContent = s.toFixed(3);
  };
  form.addEventListener("input", add);
  form.addEventListener("keydown", ev => {
    if (ev.key !== "Enter" || ev.target.type !== "text") return;
    ev.preventDefault();
    const m = /^([a-z]+)(\d+)(.*)$/.exec(ev.target.name);
    const next = m && form.elements[m[1] + (Number(m[2]) + 1) + m[3]];
    if (next) next.focus();
  });
  add();
})();
