// Marks the days that are now, and takes away those that are over.
function mark() {
  const now = Date.now() / 1000;
  for (const row of document.querySelectorAll("tr[data-from]")) {
    const on = row.dataset.from <= now && now < row.dataset.to;
    row.classList.toggle("on", on);
    row.classList.toggle("off", row.dataset.to <= now);
    row.querySelector(".tag")?.remove();
    if (on) row.lastElementChild.append(Object.assign(document.createElement("span"), {className: "tag", textContent: es ? "Abierto ahora" : "Open now"}));
  }
}
mark();
setInterval(mark, 20000);
for (const button of document.querySelectorAll("button.print")) { button.hidden = false; button.onclick = () => print(); }
if (location.protocol.startsWith("http")) for (const link of document.querySelectorAll("a.subscribe")) {
  link.href = new URL(link.dataset.file, location.href).href.replace(/^https?:/, "webcal:");
  link.hidden = false;
}
