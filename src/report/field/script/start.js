// The page as a whole: what it says of the day, its views, and what wakes it.

const VIEWS = [
  ["list", page.walk ? "walk" : "patches"],
  ["maps", "map"],
  ["records", "records"],
];

let view = "list";

const status = make("p", { id: "status", role: "status", class: "unseen" });
const notices = make("div", { id: "notices" });
const bar = make("nav", { "aria-label": say("views") });

const announce = words => {
  status.textContent = words;
  status.classList.remove("unseen");
  clearTimeout(announce.timer);
  announce.timer = setTimeout(() => status.classList.add("unseen"), 8000);
};

/** What stands across the page before anything else. */
const drawNotices = () => {
  const { state, day } = clock();
  const lines = [];
  const first = page.days[0];
  const last = page.days[page.days.length - 1];
  if (state === "late") lines.push(make("p", { class: "across", role: "alert" }, say("tooOld", last.long)));
  if (state === "early") lines.push(make("p", { class: "across", role: "alert" }, say("clockBack", day, page.made)));
  if (state === "ahead") lines.push(make("p", { class: "warning" }, say("onlyOn", first.long)));
  if (state === "in" || state === "ahead") {
    lines.push(make("p", { class: "quiet" }, say(page.walk ? "onlyWalk" : "othersMayCut", page.madeSaid)));
  }
  lines.push(...appSaid());
  if (store.refused || isUnkept()) {
    lines.push(
      make(
        "div",
        { class: "warning", role: "alert" },
        make("p", {}, say("notKeptHere", store.refused ?? "")),
        waiting().length || returns() ? button(say("handOver"), handOver, { class: "wide", id: "hand-over-now" }) : undefined,
      ),
    );
  }
  fill(notices, lines);
};

const drawBar = () => {
  const count = waiting().length;
  const tab = ([name, word]) => {
    const label = name === "records" && count ? `${say(word)} (${count})` : say(word);
    const current = view === name ? "page" : undefined;
    return button(label, () => show(name), { id: `to-${name}`, "aria-current": current });
  };
  fill(bar, VIEWS.map(tab));
};

const show = name => {
  view = name;
  draw();
  scrollTo(0, 0);
  at("content").focus({ preventScroll: true });
};

const draw = () => {
  const { number } = clock();
  at("day").textContent = number >= 0 ? page.days[number].long : say("notToday", today());
  drawNotices();
  drawBar();
  VIEWS.forEach(([name]) => (at(name).hidden = name !== view));
  if (view === "list") fill(at("list"), page.walk ? drawWalk() : drawList());
  if (view === "maps") drawMap();
  if (view === "records") fill(at("records"), drawRecords());
};

/** Where one is may change every second: only what says so is drawn again. */
const drawHere = () => {
  const { place } = here;
  const on = page.patches.filter(patch => place && standsOn(patch)).map(patch => patch.id).join();
  const moved = on !== drawHere.on;
  drawHere.on = on;
  if (view === "maps") drawMap();
  else if (view === "list" && moved) draw();
};

const wake = async () => {
  await saveUnkept();
  await readStore();
  if (!document.querySelector("dialog[open]")) draw();
  sendOff();
};

at("still").remove();
at("head").append(status);
at("content").prepend(notices);
document.body.append(bar);
document.body.classList.add("runs");
draw();
if (others) others.onmessage = () => readStore().then(() => document.querySelector("dialog[open]") || draw());
addEventListener("focus", wake);
document.addEventListener("visibilitychange", () => document.hidden || wake());
// Past midnight it is another day, whoever looks.
setInterval(() => clock().day !== draw.day && ((draw.day = clock().day), document.querySelector("dialog[open]") || draw()), 20000);
addEventListener("beforeunload", event => isUnkept() && event.preventDefault());
openStore()
  .then(readStore)
  .then(() => navigator.storage?.persisted?.())
  .then(persists => (store.persists = persists))
  .then(keepPage)
  .catch(() => undefined)
  .then(draw)
  .then(sendOff);
