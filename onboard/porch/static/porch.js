// Keeps what is typed on this device, if the reader asks for it; nothing leaves the browser by it.
const name = "join", week = 7 * 24 * 60 * 60 * 1000;
const keep = document.getElementById("keep");
const read = () => {
  try {
    const kept = JSON.parse(localStorage.getItem(name));
    return kept && Date.now() - kept.at < week ? kept : null;
  } catch { return null; }
};
const clear = () => { try { localStorage.removeItem(name); } catch { /* it was never kept */ } };
if (!read()) clear();
if (document.body.dataset.sent) clear();
if (keep) {
  const form = document.getElementById("join"), box = keep.querySelector("input"), said = document.getElementById("kept");
  const fields = () => [...form.elements].filter(one => one.name && one !== box && one.type !== "hidden" && one.type !== "submit" && !one.closest(".trap"));
  const store = () => {
    if (!box.checked) return;
    const values = read()?.values || {};
    for (const one of fields()) {
      if (one.type === "radio") { if (one.checked) values[one.name] = one.value; }
      else values[one.name] = one.type === "checkbox" ? one.checked : one.value;
    }
    try { localStorage.setItem(name, JSON.stringify({at: Date.now(), values})); } catch { box.checked = false; }
  };
  const kept = read();
  if (kept) {
    box.checked = true;
    let filled = false;
    const chosen = new Set(fields().filter(one => one.type === "radio" && one.checked && one.name !== "language").map(one => one.name));
    for (const one of fields()) {
      const value = kept.values[one.name];
      if (value === undefined || value === "" || value === false) continue;
      if (one.type === "radio") { if (!chosen.has(one.name) && one.value === value && !one.checked) { one.checked = true; filled = true; one.closest("details")?.setAttribute("open", ""); } }
      else if (one.type === "checkbox") { if (!one.checked) { one.checked = filled = true; } }
      else if (!one.value) { one.value = value; filled ||= one.value !== ""; }
    }
    if (filled) said.textContent = keep.dataset.back;
  }
  keep.hidden = false;
  form.addEventListener("input", store);
  box.addEventListener("change", () => { if (box.checked) store(); else clear(); });
  keep.querySelector("button").addEventListener("click", () => { clear(); box.checked = false; said.textContent = keep.dataset.cleared; });
}
