// What pages of the desk do by themselves. Without it all of them work, by a click more.

// A refused form: what is wrong is read first.
document.querySelector("[data-focus]")?.focus();

// Copy what is shown: <button data-copy="id of the text" data-copied="words when it is done">.
document.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-copy]");
  if (!button) return;
  await navigator.clipboard.writeText(document.getElementById(button.dataset.copy).textContent.trim());
  const told = document.getElementById("copied");
  if (told) told.textContent = button.dataset.copied;
});

// A form that answers while somebody types: data-live is the address that answers with HTML, data-into
// where it goes. Only the newest question counts.
for (const form of document.querySelectorAll("form[data-live]")) {
  const into = document.getElementById(form.dataset.into);
  let waits, asked;
  const ask = async () => {
    asked?.abort();
    asked = new AbortController();
    try {
      const answer = await fetch(form.dataset.live, {
        method: "POST", body: new URLSearchParams(new FormData(form)), signal: asked.signal,
      });
      if (answer.ok) into.innerHTML = await answer.text();
      else form.submit(); // signed out, or trouble: the whole page says so, and keeps what was typed
    } catch (trouble) {
      if (trouble.name !== "AbortError") into.innerHTML = document.getElementById("no-answer").innerHTML;
    }
  };
  form.addEventListener("input", () => {
    clearTimeout(waits);
    waits = setTimeout(ask, 120);
  });
  form.addEventListener("submit", () => {
    clearTimeout(waits);
    asked?.abort();
  });
}

// A click too many does not do it twice.
document.addEventListener("submit", (event) => {
  if (event.target.dataset.sent) event.preventDefault();
  event.target.dataset.sent = "yes";
  setTimeout(() => delete event.target.dataset.sent, 3000);
});

// A part of a page that stays fresh: data-fresh is the address that answers with its HTML, until an answer
// without data-fresh. Nothing is asked while the page is hidden, and less often while the server is slow.
const freshen = async (part) => {
  const begun = performance.now();
  if (!document.hidden) {
    try {
      const answer = await fetch(part.dataset.fresh);
      if (!answer.ok) return;
      const made = document.createElement("template");
      made.innerHTML = await answer.text();
      const next = made.content.firstElementChild;
      part.replaceWith(next);
      part = next;
    } catch { /* the desk may be back the next time */ }
  }
  if (part.dataset.fresh) setTimeout(freshen, 1000 + 4 * (performance.now() - begun), part);
};
for (const part of document.querySelectorAll("[data-fresh]")) setTimeout(freshen, 1000, part);

// Show a password while it is typed: <input type="checkbox" data-shows="id of the field">, in a label that is
// hidden until this script is here.
for (const box of document.querySelectorAll("[data-shows]")) {
  box.closest("label").hidden = false;
  box.addEventListener("change", () => {
    document.getElementById(box.dataset.shows).type = box.checked ? "text" : "password";
  });
}

// Print this page.
for (const button of document.querySelectorAll("[data-print][hidden]")) button.hidden = false;
document.addEventListener("click", (event) => {
  if (event.target.closest("[data-print]")) print();
});
