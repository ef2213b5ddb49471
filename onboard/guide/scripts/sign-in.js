// Makes a sign-in name of a name by the rule of onboard/handles.py. What is typed never leaves the page.
const es = document.documentElement.lang === "es", data = JSON.parse(document.getElementById("data").textContent);
const letters = new Map(data.letters.split(" ").map(pair => [[...pair][0], [...pair].slice(1).join("")]));
const bare = word => word.replaceAll(".", "").toLowerCase(), initial = word => /^\p{L}\.*$/u.test(word);
const has = (table, word) => Object.hasOwn(data[table], bare(word)), behind = word => has("suffixes", word) || data.credentials.includes(bare(word));
// Marks that are typed for others, as phones and word processors do.
const mend = text => text.normalize("NFC").replace(/[‘’‛ʼʹ´`′＇ˈ]/g, "'").replace(/[“”„‟«»″＂]/g, '"').replace(/[‐‑‒–—―−]/g, "-").replace(/[\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff\u00ad]/g, "").replace(/\s+/g, " ").trim();
const latin = text => text.normalize("NFKC").normalize("NFD").replace(/\p{M}/gu, "").replace(/\u02bb/g, "'").replace(/[^\x00-\x7f]/gu, sign => letters.get(sign) ?? sign);
const skeleton = text => text.replace(/[0O]/g, "o").replace(/[1I|]/g, "l").toLowerCase().replaceAll("rn", "m").replaceAll("vv", "w");
function words(text) {
  const found = [];
  for (const word of text.match(/\S*[\p{L}\p{N}_]\S*/gu) || []) {
    const pieces = word.replace(/\.+$/, "").split(".");
    if (found.length && behind(word)) found.push(word);
    else if (pieces.length > 1 && pieces.every(piece => piece.length === 1)) found.push(...pieces);
    else if (word.slice(1, -1).includes(".")) found.push(...word.split(".").map(piece => piece.replace(/^[-']+|[-']+$/g, "")).filter(Boolean));
    else found.push(word);
  }
  return found;
}
// Takes titles from the front; in the box for the first name one may stand alone.
function titles(found, alone) {
  const taken = [];
  while (found.length > (alone ? 0 : 1) && has("titles", found[0])) {
    const [written, name] = data.titles[bare(found[0])];
    if (name && !found[0].endsWith(".") && (alone || found.length < 3)) break;
    taken.push(written);
    found.shift();
  }
  return taken;
}
// Takes suffixes from the end, and letters of a degree, which are not told.
function suffixes(found, alone) {
  const taken = [];
  while (found.length > 1) {
    const last = found.at(-1), word = bare(last), enough = found.length > (alone ? 1 : 2), before = found.slice(0, -1).join("");
    if (has("suffixes", last)) {
      if ("vi".includes(word) && word.length === 1 && (!enough || last.endsWith("."))) break;
      if ((word === "junior" || word === "senior") && !enough) break;
      taken.unshift(data.suffixes[word]);
    } else if (alone && has("sons", last)) taken.unshift(data.sons[word]); // "Núñez hijo", "Núñez h.": the son
    else if (alone && /^[hp]\.$/.test(last) && before !== before.toLowerCase()) taken.unshift(last === "h." ? "Jr" : "Sr");
    else if (!data.credentials.includes(word) || !enough || !alone) break;
    found.pop();
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
// A last name without "vda. de", widow of; null where it may tell of him.
function withoutWidow(text) {
  const found = text.match(/(?:^|[\s,]+)(?<!\bla\s)((?:vda\b\.?|viuda\b|vd\.|v\.)\s*(de|del))\s+(?=\p{L})/iu);
  if (!found || (/^v\./i.test(found[1]) && (found[1][0] === "V" || text === text.toLowerCase()))) return text;
  const front = text.slice(0, found.index), after = text.slice(found.index + found[0].length), [first, ...more] = after.split(" ").map(bare);
  if (/^viu/i.test(found[1]) && more.length) return null;
  const whole = found[2].toLowerCase() !== "de" || ["la", "las", "los"].includes(first) || (front.trim() && !data.particles.includes(first));
  return `${front} ${whole ? found[2] + " " : ""}${after}`.trim();
}
const unclear = /[&+/;@#<>{}=\\|_*?!^~$%:\d]|(^|\s)(and|or|und|with|née|nee|born|formerly|nacida|aka|fka|c\.?\/?o\.?|goes|known|called|for)(\s|$)/i;
// The sign-in name and its steps, [what, before, after] each; null if only a person can tell.
function handle(first, last) {
  first = mend(first); last = mend(last);
  last = withoutWidow(last);
  if (last === null) return null;
  last = last.replace(/[\s,]+$/, "");
  if (/[-,]$/.test(first) || (has("suffixes", first) && last.includes(","))) return null;
  const called = [], tail = [];
  // Beside the name: what one is called, or a suffix in brackets.
  const aside = /(?<=\S\s*)("[^"]*"|\([^()]*\)|\[[^\[\]]*\])|(?<=\S\s+)'[^' ]+'(?!\S)/g;
  const beside = said => {
    const inner = said.slice(1, -1).trim(), word = bare(inner);
    if (/^[([]/.test(said) && word.length > 1 && (has("suffixes", inner) || has("sons", inner))) tail.push(data.suffixes[word] ?? data.sons[word]);
    else if (!/^(née?|nee|born|formerly|nacida)\s/i.test(inner)) called.push(`"${inner}"`);
    return " ";
  };
  [first, last] = [first, last].map(text => text.replace(aside, beside).trim());
  const numbered = text => text.replace(/ \d[a-z]{1,2}\.?$/i, all => behind(all.trim()) ? "" : all); // "Lee 3rd"
  if (unclear.test(numbered(first)) || unclear.test(numbered(last)) || /["()[\]]/.test(first + last) || /(^| )(y|e) \S/i.test(first)) return null;
  // Behind a comma only what is no name: "Lee, Jr."
  last = last.replace(/,\s*([^,]+)$/, (all, end) => {
    if (!end.split(" ").every(behind)) return all;
    tail.push(...end.split(" ").filter(word => has("suffixes", word)).map(word => data.suffixes[bare(word)]));
    return "";
  });
  if (first.includes(",") || last.includes(",")) return null;
  const given = words(first.replace(/\s*-\s*/g, "-")), family = words(last.replace(/\s*-\s*/g, "-"));
  // "Don" is a title where the name is Spanish, and a name by itself; which, the page does not know.
  if (bare(given[0] || "") === "don" && given.length > 1 && !initial(given[1])) return null;
  if (given.length > 1 && (has("sons", given.at(-1)) || /^[hp]\.$/.test(given.at(-1)))) return null;
  const front = [...titles(given, true), ...titles(family, false)];
  const end = [...suffixes(family, true), ...suffixes(given, false), ...tail];
  const middle = [];
  if (!initial(given[0] || "")) while (given.length > 1 && initial(given[given.length - 1])) middle.unshift(given.pop());
  if (!given.length && !family.length) return null;
  if ((!given.length || !family.length) && given.length + family.length > 1) return null;
  if (given.length && given.some(word => family.some(other => bare(other) === bare(word)))) return null;
  const show = found => found.map(word => initial(word) ? word.replace(/\.+$/, "") : word).join(" ");
  const steps = [];
  let parts = [front[0], show(given), called.join(" "), show(middle), show(family), end[0]];
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
