// The moment at which somebody reads the page, in words: the same as onboard/guide/moments.py says.
const lang = document.documentElement.lang, es = lang === "es";
const data = JSON.parse(document.getElementById("data").textContent);
function parts(moment, zone) {
  const said = {};
  const form = {weekday: "long", month: "long", day: "numeric", year: "numeric", hour: "numeric", minute: "2-digit", hourCycle: "h23", timeZone: zone};
  for (const {type, value} of new Intl.DateTimeFormat(es ? "es-US" : "en-US", form).formatToParts(moment)) said[type] = value;
  said.hour = Number(said.hour) % 24; said.minute = Number(said.minute);
  return said;
}
function day(p, now) {
  const year = p.year !== now.year;
  return es ? `el ${p.weekday} ${p.day} de ${p.month}${year ? ` de ${p.year}` : ""}` : `${p.weekday}, ${p.month} ${p.day}${year ? `, ${p.year}` : ""}`;
}
function at(p, now) {
  const h = p.hour, clock = (h % 12 || 12) + (p.minute ? ":" + String(p.minute).padStart(2, "0") : "");
  if (es) {
    if (h === 12 && !p.minute) return day(p, now) + " al mediodía";
    const part = h < 1 ? "noche" : h < 6 ? "madrugada" : h < 12 ? "mañana" : h < 19 ? "tarde" : "noche";
    return `${day(p, now)} a ${h % 12 === 1 ? "la" : "las"} ${clock} de la ${part}`;
  }
  if (h === 12 && !p.minute) return day(p, now) + ", at noon";
  const part = h < 1 || h > 21 ? "at night" : h < 12 ? "in the morning" : h < 18 ? "in the afternoon" : "in the evening";
  return `${day(p, now)}, at ${clock} ${part}`;
}
function start(seconds, zone, now) {
  const p = parts(seconds * 1000, zone);
  return p.hour || p.minute ? at(p, now) : day(p, now);
}
function end(seconds, zone, now) {
  const p = parts(seconds * 1000, zone);
  if (p.hour || p.minute) return at(p, now);
  const before = day(parts(seconds * 1000 - 43200000, zone), now);
  return es ? "al final d" + before : "at the end of " + before;
}
// How it stands with a clock: {zone, spans}. `where` says the same by the reader's own clock, if that is another one.
function standing(clock, moment = Date.now()) {
  const seconds = moment / 1000, span = clock.spans.find(one => one[1] > seconds);
  if (!span) return {text: es ? "Todavía no hay fechas." : "No days are set yet.", open: false, where: ""};
  const open = span[0] <= seconds, say = open ? end : start, which = open ? span[1] : span[0];
  const there = say(which, clock.zone, parts(moment, clock.zone));
  const mine = Intl.DateTimeFormat().resolvedOptions().timeZone, here = say(which, mine, parts(moment, mine));
  const text = open ? (es ? `Abierto ahora. Cierra ${there}.` : `Open now. Closes ${there}.`)
    : (es ? `Cerrado ahora. Abre ${there}.` : `Not open now. Opens ${there}.`);
  const where = here === there ? "" : (es ? ` Donde usted está, es ${here}.` : ` Where you are, that is ${here}.`);
  return {text, open, where};
}
function refresh() {
  for (const place of document.querySelectorAll("[data-clock]")) {
    const {text, open, where} = standing(data.clocks[place.dataset.clock]);
    const words = place.querySelector(".now") ?? place.appendChild(Object.assign(document.createElement("p"), {className: "now"}));
    if (words.textContent !== text + where) words.textContent = text + where;
    words.classList.toggle("open", open);
  }
}
refresh();
setInterval(refresh, 20000);
