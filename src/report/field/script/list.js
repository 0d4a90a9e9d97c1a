// The patches: what is open today on top, large; what is shut below it.

/** Which details are unfolded, by patch. */
const unfolded = new Set();

const saidLimit = (patch, number, now) => {
  const day = patch.days[number];
  if (now.left !== undefined) return say("leftOf", figure(patch, now.left), text(day.said));
  return say("atMost", text(day.said));
};

const drawList = () => {
  const { state } = clock();
  const number = shownDay();
  if (state === "early" || state === "late") {
    return [make("p", {}, say("noAmounts")), ...shutCards(page.patches, undefined)];
  }
  const open = page.patches.filter(patch => patch.days[number].open);
  const shut = page.patches.filter(patch => !patch.days[number].open);
  const on = open.filter(patch => standsOn(patch));
  const rest = open.filter(patch => !on.includes(patch));
  return [
    open.length ? [] : make("p", { class: "most" }, say("nothingOpen")),
    [...on, ...rest].map((patch, n) => openCard(patch, number, isFirstOfSite([...on, ...rest], n))),
    shutCards(shut, number),
  ].flat();
};

const isFirstOfSite = (all, n) =>
  page.sites.length > 1 && (n === 0 || all[n - 1].site !== all[n].site)
    ? page.sites[all[n].site].name
    : undefined;

const standsOn = patch =>
  here.place && here.accuracy <= TOO_ROUGH && fromHere(patch, here.place)?.metres === 0;

const heading = (patch, tag = "h3") =>
  make(
    tag,
    {},
    make("span", { class: "number" }, String(patch.number)),
    ` ${patch.short} `,
    make("span", { class: "crop" }, text(patch.crop)),
  );

const openCard = (patch, number, site) => {
  const day = patch.days[number];
  const now = standing(patch, number);
  const lines = [];
  if (standsOn(patch)) lines.push(make("p", { class: "here" }, say("youAreHere")));
  now.seen.alike.forEach(name => lines.push(make("p", { class: "fatal" }, say("alikeSeen", name))));
  patch.first.forEach(n => lines.push(make("p", { class: "fatal" }, text(n))));
  if (now.seen.shut) {
    lines.push(make("p", { class: "warning" }, say("shutByNote", now.seen.shut)));
  } else if (now.ask) {
    lines.push(make("p", { class: "most" }, make("strong", {}, say("askTheBook"))));
    lines.push(make("p", {}, say("askWhy")));
  } else if (now.left !== undefined) {
    lines.push(make("p", { class: "most" }, make("strong", {}, figure(patch, now.left)), ` ${say("left")}`));
    lines.push(make("p", {}, say(now.shared ? "sharedWhy" : "leftWhy", text(day.said))));
  } else {
    lines.push(make("p", { class: "most" }, `${say("atMostShort")} `, make("strong", {}, text(day.said))));
    const more = [day.by, day.then].filter(n => n !== undefined).map(text);
    if (more.length) lines.push(make("p", { class: "by" }, more.join("; ")));
  }
  if (day.ask) lines.push(make("p", { class: "by" }, say("askFirst")));
  return [
    site ? make("h2", {}, site) : undefined,
    make("article", { class: "patch open" }, heading(patch), lines, deeds(patch), details(patch, number)),
  ].filter(Boolean);
};

const deeds = patch => {
  const cut = page.walk
    ? []
    : [button(say("cut"), () => cutForm(patch), { class: "main", id: `cut-${patch.number}` })];
  return make("div", { class: "deeds" }, [
    ...cut,
    button(say("glance"), () => glanceForm(patch), { id: `glance-${patch.number}` }),
    button(say("note"), () => noteForm(patch), { id: `note-${patch.number}` }),
  ].map(it => (it.setAttribute("aria-label", `${it.textContent}: ${patch.name}`), it)));
};

/** Why, what to watch for, and the coming days. */
const details = (patch, number, extra = []) => {
  const day = number === undefined ? undefined : patch.days[number];
  const toggled = event => unfolded[event.target.open ? "add" : "delete"](patch.id);
  const lines = [make("p", {}, say("cutItSo", text(patch.how)))];
  if (day?.why !== undefined) lines.unshift(make("p", {}, text(day.why)));
  if (number !== undefined && patch.days.length > 1) lines.push(comingDays(patch, number));
  patch.care.forEach(n => lines.push(make("p", { class: "care" }, text(n))));
  return make(
    "details",
    { open: unfolded.has(patch.id), on: { toggle: toggled } },
    make("summary", { id: `more-${patch.number}` }, say("whyAndWatch"), make("span", { class: "unseen" }, ` ${patch.name}`)),
    extra,
    lines,
  );
};

const comingDays = (patch, number) => {
  const row = (day, n) => {
    const now = standing(patch, n);
    const isAsked = now.ask;
    const said = !day.open
      ? text(day.v)
      : isAsked
        ? say("askTheBook")
        : now.left !== undefined
          ? say("leftOf", figure(patch, now.left), text(day.said))
          : [text(day.said), day.n ? say("oneIn", day.n) : ""].filter(Boolean).join(", ");
    return make("tr", {}, make("th", { scope: "row" }, page.days[n].short), make("td", {}, said));
  };
  const rows = patch.days.map((day, n) => [day, n]).slice(number);
  return make(
    "table",
    {},
    make("caption", {}, say("comingDays")),
    make("tbody", {}, rows.map(([day, n]) => row(day, n))),
  );
};

const shutCards = (shut, number) => {
  if (!shut.length) return [];
  const card = patch => {
    const day = number === undefined ? undefined : patch.days[number];
    const said = day ? [text(day.v), day.then === undefined ? "" : text(day.then)].filter(Boolean).join("; ") : "";
    const first = patch.first.map(n => make("p", { class: "fatal" }, text(n)));
    const seen = number === undefined ? [] : standing(patch, number).seen.alike;
    return make(
      "article",
      { class: "patch shut" },
      heading(patch),
      seen.map(name => make("p", { class: "fatal" }, say("alikeSeen", name))),
      said ? make("p", { class: "by" }, said) : undefined,
      details(patch, number, [...first, deeds(patch)]),
    );
  };
  const title = number === undefined ? say("patches") : say("shutToday", shut.length);
  return [make("h2", {}, title), ...shut.map(card)];
};
