// Sorts the drop sites by distance from a ZIP code, a town or a state. Nothing that is typed leaves the page.
const signs = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
const number = text => [...text].reduce((sum, sign) => sum * 64 + signs.indexOf(sign), 0);
const plain = text => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase().replace(/[.'’]/g, "").replace(/[^a-z0-9]+/g, " ").trim().replace(/^(saint|ft|mt) /, (all, word) => ({saint: "st ", ft: "fort ", mt: "mount "})[word]);
const towns = new Map(), zips = new Map();
let town = "", state = "", last = 0;
const know = (town, one) => towns.set(plain(town), [...(towns.get(plain(town)) || []), {...one, town}]), besides = [];
const spot = packed => [number(packed.slice(0, 2)) / 40 - 20, number(packed.slice(2, 4)) / 25 - 220];
for (const packed of data.places.near ? data.places.near.split("|") : []) {
  const size = packed[0] === "-" ? 4 : 1, [called, other] = packed.slice(size + 4).split("/"), [name, ...more] = called.split("=");
  last += number(packed.slice(size === 4 ? 1 : 0, size));
  if (other) state = other;
  if (name) town = name;
  const one = {zip: String(last).padStart(5, "0"), at: spot(packed.slice(size)), town, state};
  zips.set(one.zip, one);
  know(town, one);
  besides.push(...more.map(other => [other, one]));
}
for (const [other, one] of besides) know(other, one);
// A ZIP code that is not among them is where the next one of its town or area is; else its first three digits tell.
function byZip(zip) {
  if (zips.has(zip)) { const one = zips.get(zip); return [{at: one.at, name: `${zip} (${capitals(one.town)})`}]; }
  const near = [...zips.keys()].filter(other => Math.abs(other - zip) < 12 && other.slice(0, 3) === zip.slice(0, 3)).sort((a, b) => Math.abs(a - zip) - Math.abs(b - zip));
  const packed = data.places.prefixes.slice(zip.slice(0, 3) * 4, zip.slice(0, 3) * 4 + 4);
  return near.length ? [{at: zips.get(near[0]).at, name: `ZIP ${zip}`}] : packed.trim() ? [{at: spot(packed), name: `ZIP ${zip}`}] : [];
}
const capitals = text => text.replace(/(^|[ -])\p{L}/gu, letter => letter.toUpperCase());
function states(text) {
  return Object.entries(data.places.states).filter(([code, [, , ...names]]) => code.toLowerCase() === text || names.map(plain).includes(text));
}
// The places that the words can mean, each {at, name, state}; "state" if it is a whole state.
function meant(said) {
  const zip = said.match(/^\D*(\d{5})(?:-?\d{4})?\D*$/);
  if (zip) return byZip(zip[1]);
  const text = plain(said.replace(/\d+/g, " ")), whole = states(text);
  if (whole.length) return whole.map(([code, [y, x, name]]) => ({at: [y, x], name: capitals(name), state: code}));
  const words = text.split(" ");
  let found = towns.get(text) || [];
  for (let n = 1; !found.length && n < words.length; n++) {
    const codes = states(words.slice(n).join(" ")).map(([code]) => code);
    found = (towns.get(words.slice(0, n).join(" ")) || []).filter(spot => codes.includes(spot.state));
  }
  const of = {};
  for (const spot of found) of[spot.state] ??= spot;
  return Object.values(of).map(spot => ({at: spot.at, name: `${capitals(spot.town)}, ${spot.state}`}));
}
function miles([a, b], [c, d]) {
  const r = Math.PI / 180, half = Math.sin((c - a) * r / 2) ** 2 + Math.cos(a * r) * Math.cos(c * r) * Math.sin((d - b) * r / 2) ** 2;
  return 2 * 3958.7613 * Math.asin(Math.min(1, Math.sqrt(half)));
}
const part = id => document.getElementById(id);
const form = part("search"), box = form.querySelector("input"), said = part("said");
const choices = part("choices"), list = document.querySelector(".sites");
function show(place) {
  choices.replaceChildren();
  const found = data.sites.map(([id, y, x, of]) => ({id, of, miles: y === null ? Infinity : miles(place.at, [y, x])}));
  found.sort((a, b) => (place.state ? (b.of === place.state) - (a.of === place.state) : 0) || a.miles - b.miles || a.id - b.id);
  for (const {id, miles} of found) {
    const item = part("site-" + id), n = Math.round(miles).toLocaleString("en-US");
    let far = item.querySelector(".far");
    if (!far) item.querySelector("h3").after(far = Object.assign(document.createElement("p"), {className: "far"}));
    far.textContent = miles === Infinity ? "" : miles < 1.5 ? (es ? "A 1 milla o menos" : "1 mile or less away") : es ? `A unas ${n} millas` : `About ${n} miles away`;
    far.hidden = !far.textContent;
    list.append(item);
  }
  const first = found.length ? document.querySelector(`#site-${found[0].id} h3`).textContent : "";
  said.textContent = es ? `Desde ${place.name}. El más cercano es: ${first}.` : `From ${place.name}. The closest is: ${first}.`;
  part("list").scrollIntoView({block: "nearest"});
}
const asMade = [...list.children], forget = () => asMade.map(it => (it.querySelector(".far")?.remove(), list.append(it)));
form.hidden = false;
form.addEventListener("submit", event => {
  event.preventDefault();
  choices.replaceChildren();
  const typed = box.value.trim(), found = typed ? meant(typed) : [];
  if (found.length === 1) return show(found[0]);
  forget();
  if (found.length) {
    said.textContent = es ? "Hay más de uno. ¿Cuál es el suyo?" : "There is more than one. Which one is yours?";
    for (const place of found) {
      const button = document.createElement("button");
      button.type = "button"; button.className = "plain"; button.textContent = place.name;
      button.onclick = () => { show(place); box.focus(); };
      choices.append(button);
    }
    return;
  }
  said.textContent = !typed ? (es ? "Escriba su código postal, pueblo o estado." : "Type your ZIP code, town or state.")
    : es ? `No encontramos “${typed}”. Pruebe con su código postal de 5 números.` : `We can’t find “${typed}”. Try your 5-digit ZIP code.`;
  box.focus();
});
