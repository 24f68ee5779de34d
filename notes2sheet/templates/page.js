// A value and its words lead to each other; choosing a value again goes on to its next words.
"use strict";
const say = document.getElementById("say");
const calm = matchMedia("(prefers-reduced-motion: reduce)");
let last = null, turn = 0;

function light(from, ids) {
  document.querySelectorAll(".lit, .here").forEach((el) => el.classList.remove("lit", "here"));
  const all = ids.map((id) => document.getElementById(id)).filter(Boolean);
  if (!all.length) return;
  turn = from === last ? (turn + 1) % all.length : 0;
  last = from;
  all.forEach((el) => el.classList.add("lit"));
  from.classList.add("here");
  const to = all[turn];
  for (let box = to.closest("details"); box; box = box.parentElement.closest("details")) box.open = true;
  to.scrollIntoView({ block: "center", behavior: calm.matches ? "auto" : "smooth" });
  if (to.matches("a")) to.focus({ preventScroll: true });
  say.textContent = all.length > 1 ? `${turn + 1} of ${all.length} places` : "1 place";
}

document.addEventListener("click", (event) => {
  const from = event.target.closest("[data-to]");
  if (!from) return;
  event.preventDefault();
  light(from, from.dataset.to.split(" "));
});

document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  document.querySelectorAll(".lit").forEach((el) => el.classList.remove("lit"));
  const from = document.querySelector(".here");
  if (from && from.focus) from.focus();
});
