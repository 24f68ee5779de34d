// Sends each entry as it is made, in order, and puts the answer's pieces in their places.
"use strict";
const saved = document.getElementById("saved");
const waiting = new Map(); // fields being typed in, with the timer that will send them
let line = Promise.resolve();
document.body.classList.add("scripted");

function tell(text, bad) {
  saved.textContent = text;
  saved.classList.toggle("bad", Boolean(bad));
}

function place(html) {
  const box = document.createElement("template");
  box.innerHTML = html; // made and escaped by the review's own server
  const active = document.activeElement;
  for (const fresh of [...box.content.children]) {
    const old = document.getElementById(fresh.id);
    if (!old || old.isEqualNode(fresh)) continue;
    const kept = new Map([...old.children].map((child) => [child.id, child]));
    if (fresh.matches("ul") && old.matches("ul")) old.replaceChildren(...[...fresh.children].map((li) => kept.get(li.id) || li));
    else old.replaceWith(fresh);
  }
  if (active.isConnected) active.focus({ preventScroll: true });
  else document.getElementById("flags-title").focus();
}

function send(form, pairs) {
  tell("Saving…");
  line = line.then(async () => {
    try {
      const body = new URLSearchParams(pairs);
      const answer = await fetch(form.action, { method: "POST", body, headers: { "X-Live": "1" }, keepalive: String(body).length < 60000 });
      const text = await answer.text();
      if (answer.ok) place(text);
      tell(answer.ok ? "Saved" : text, !answer.ok);
    } catch {
      tell("Not saved: the review was stopped. What you typed is still on this page.", true);
    }
  });
}

function enter(control) {
  clearTimeout(waiting.get(control));
  waiting.delete(control);
  if (control.name === "why" || !control.form.matches(".edit")) return;
  if (!control.checkValidity()) tell(control.validationMessage, true);
  else send(control.form, [[control.name, control.value], ["why", control.form.elements.why?.value ?? ""]]);
}

document.addEventListener("change", (event) => enter(event.target));
document.addEventListener("input", ({ target }) => {
  if (!target.matches("textarea")) return;
  clearTimeout(waiting.get(target));
  waiting.set(target, setTimeout(enter, 300, target));
});
document.addEventListener("submit", (event) => {
  event.preventDefault();
  if (event.target.matches(".decide")) send(event.target, new FormData(event.target, event.submitter));
  else if (document.activeElement.name) enter(document.activeElement);
});
document.addEventListener("change", ({ target }) => {
  const [what, start] = target.name.split(/[:-]/);
  const word = what === "state" && document.getElementById(`w${start}`);
  if (word) word.className = target.value;
});
document.addEventListener("toggle", async ({ target }) => {
  const from = target.open && target.dataset.from;
  if (!from) return;
  delete target.dataset.from;
  const answer = await fetch(from, { headers: { "X-Live": "1" } });
  if (answer.ok) target.querySelector(".later").outerHTML = await answer.text();
}, true);
addEventListener("pagehide", () => [...waiting.keys()].forEach(enter));
