// Makes a sign-in name of a name by the rule of onboard/handles.py. What is typed never leaves the page.
const es = document.documentElement.lang === "es", data = JSON.parse(document.getElementById("data").textContent);
const letters = new Map(data.letters.split(" ").map(pair => [[...pair][0], [...pair].slice(1).join("")]));
const bare = word => word.replaceAll(".", "").toLowerCase(), initial = word => /^\p{L}\.*$/u.test(word);
// Marks that are typed for others, as phones and word processors do.
const mend = text => text.normalize("NFC").replace(/[‘’‛ʼʹ´`′＇ˈ]/g, "'").replace(/[“”„‟«»″＂]/g, '"').replace(/[‐‑‒–—―−]/g, "-").replace(/[\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff\u00ad]/g, "").replace(/\s+/g, " ").trim();
const latin = text => text.normalize("NFKC").normalize("NFD").replace(/\p{M}/gu, "").replace(/\u02bb/g, "'").replace(/[^\x00-\x7f]/gu, sign => letters.get(sign) ?? sign);
const skeleton = text => text.replace(/[0O]/g, "o").replace(/[1I|]/g, "l").toLowerCase().replaceAll("rn", "m").replaceAll("vv", "w");
function words(text) {
  const found = [];
  for (const word of text.match(/\S*[\p{L}\p{N}_]\S*/gu) || []) {
    const pieces = word.replace(/\.+$/, "").split(".");
    if (pieces.length > 1 && pieces.every(piece => piece.length === 1)) found.push(...pieces);
    else if (word.slice(1, -1).includes(".")) found.push(...word.split(".").map(piece => piece.replace(/^[-']+|[-']+$/g, "")).filter(Boolean));
    else found.push(word);
  }
  return found;
}
// Takes titles from the front; in the box for the first name one may stand alone.
function titles(found, alone) {
  const taken = [];
  while (found.length > (alone ? 0 : 1)) {
    const word = bare(found[0]), name = data.titles[word];
    if (name === undefined || (name && !found[0].endsWith(".") && (alone || found.length < 3))) break;
    taken.push(found.shift());
  }
  return taken;
}
function suffixes(found, alone) {
  const taken = [];
  while (found.length > 1) {
    const last = found[found.length - 1], word = bare(last), enough = found.length > (alone ? 1 : 2);
    if (data.suffixes.includes(word)) {
      if ("vi".includes(word) && word.length === 1 && (!enough || last.endsWith("."))) break;
      if ((word === "junior" || word === "senior") && !enough) break;
    } else if (!data.credentials.includes(word) || !enough || !alone) break;
    taken.unshift(found.pop());
  }
  return taken;
}
// The last names, each with its small words.
function apart(family) {
  const found = [];
  let before = [];
  for (const word of family) {
    const low = bare(word);
    if (found.length && ["y", "e", "i"].includes(low)) continue;
    before.push(word);
    if (!data.particles.includes(low) && !["o", "st", "saint", "ste", "san", "santa", "mac", "mc"].includes(low)) { found.push(before.join(" ")); before = []; }
  }
  if (before.length) found.push(before.join(" "));
  return found;
}
const unclear = /[&+/;@#<>{}=\\|_*?!^~$%:\d]|(^|\s)(and|or|und|with|née|nee|born|formerly|nacida|aka|fka|c\.?\/?o\.?|goes|known|called|for)(\s|$)/i;
// The sign-in name and its steps, [what, before, after] each; null if only a person can tell.
function handle(first, last) {
  first = mend(first); last = mend(last);
  const aside = /(?<=\S\s*)("[^"]*"|\([^()]*\)|\[[^\[\]]*\])/g, called = [...first.matchAll(aside), ...last.matchAll(aside)].map(found => found[0]);
  first = first.replace(aside, " ").trim(); last = last.replace(aside, " ").trim();
  if (unclear.test(first) || unclear.test(last) || /["()[\]]/.test(first + last) || / (y|e) /i.test(` ${first} `)) return null;
  // Behind a comma only what is no name: "Lee, Jr."
  const tail = [];
  last = last.replace(/,\s*([^,]+)$/, (all, end) => end.split(" ").every(word => data.suffixes.includes(bare(word)) || data.credentials.includes(bare(word))) ? (tail.push(end), "") : all);
  if (first.includes(",") || last.includes(",")) return null;
  const given = words(first.replace(/\s*-\s*/g, "-")), family = words(last.replace(/\s*-\s*/g, "-"));
  const front = [...titles(given, true), ...titles(family, false)];
  const end = [...suffixes(family, true), ...suffixes(given, false), ...tail];
  const middle = [];
  if (!initial(given[0] || "")) while (given.length > 1 && initial(given[given.length - 1])) middle.unshift(given.pop());
  if (!given.length && !family.length) return null;
  if ((!given.length || !family.length) && given.length + family.length > 1) return null;
  if (given.length && given.some(word => family.some(other => bare(other) === bare(word)))) return null;
  const show = found => found.map(word => initial(word) ? word.replace(/\.+$/, "") : word).join(" ");
  const steps = [];
  let parts = [front.join(" ").replaceAll(".", ""), show(given), called.join(" "), show(middle), show(family), end.join(" ").replaceAll(".", "")];
  const written = () => parts.filter(Boolean).join(" ");
  let text = written();
  const step = (what, after) => { if (after !== text) { steps.push([what, text, after]); text = after; } };
  for (const [what, at] of [["title", 0], ["nickname", 2], ["suffix", 5], ["middle-name", 3]]) { parts[at] = ""; step(what, written()); }
  if (/\p{L}/u.test(text) && /(?!\p{Script=Latin})(?![\p{Lm}ªº])\p{L}/u.test(text)) return null;
  if (data.last !== "all") { const each = apart(family); parts[4] = each.length ? each[data.last === "first" ? 0 : each.length - 1] : ""; step("last-names", written()); }
  step("accents", latin(text));
  step("apostrophe", text.replace(/['`]/g, ""));
  step("hyphen", text.replaceAll("-", ""));
  step("punctuation", text.replace(/[^A-Za-z0-9 ]+/g, ""));
  step("join", text.replaceAll(" ", ""));
  step("small-letters", text.toLowerCase());
  if (text.length > data.longest) step("shorten", text.slice(0, data.longest));
  if (/^(con|prn|aux|nul|com|lpt)\d*$/.test(text)) step("device", text.slice(0, Math.max(1, data.longest - 4)) + "coop");
  if (!text || data.reserved.includes(skeleton(text)) || data.ours.includes(text)) return null;
  return {text, steps};
}
const form = document.getElementById("name"), out = document.getElementById("made");
form.hidden = false;
form.addEventListener("submit", event => {
  event.preventDefault();
  const [first, last] = [...form.querySelectorAll("input")].map(box => box.value);
  const add = (to, tag, text, name) => { const made = document.createElement(tag); made.textContent = text; if (name) made.className = name; to.append(made); return made; };
  out.replaceChildren();
  if (!mend(first + last)) return add(out, "p", es ? "Escriba su nombre y sus apellidos." : "Type your first and last name.");
  const made = handle(first, last);
  if (!made) return add(out, "p", es ? "Esto no lo podemos saber aquí. Su nombre de usuario está en su correo o carta de bienvenida. También nos puede llamar." : "We can’t tell from this. Your sign-in name is in your welcome email or letter. You can call us, too.");
  add(out, "p", es ? "Lo más probable es que su nombre de usuario sea:" : "Your sign-in name is most likely:");
  add(out, "p", made.text, "big");
  add(out, "p", es ? "Letra por letra:" : "Letter by letter:");
  const list = add(out, "ol", "", "letters");
  for (const sign of made.text) { const item = add(list, "li", ""); add(item, "b", sign); add(item, "span", data.spelling[sign] || ""); }
  if (made.steps.length) {
    add(out, "p", es ? "Por qué es así:" : "This is why:");
    const why = add(out, "ol", "");
    for (const [what, before, after] of made.steps) add(why, "li", data.steps[what].replaceAll("{before}", () => before).replaceAll("{after}", () => after));
  }
  add(out, "p", es ? "Si otra persona ya tiene ese nombre, el suyo lleva un número al final. El número está en su correo o carta de bienvenida." : "If someone else has that name already, yours has a number at the end. The number is in your welcome email or letter.");
});
