// A leader's walk: at each stop what each party may take, ticked off, and what came back.

const toldId = (stop, party) => `${page.walk.name} ${page.walk.day} ${stop} ${party}`;

const toldOf = (stop, party) => store.told.get(toldId(stop, party));

const sharesAt = stop =>
  page.walk.parties.flatMap(party =>
    party.shares.filter(share => share.stop === stop).map(share => ({ party, share })),
  );

const isStopTold = stop => {
  const shares = sharesAt(stop);
  return shares.length > 0 && shares.every(({ party }) => toldOf(stop, party.number)?.amount !== undefined);
};

const tell = (stop, party, amount, taken) =>
  keep("told", {
    id: toldId(stop, party),
    walk: page.walk.name,
    day: page.walk.day,
    stop,
    party,
    patch: page.patches[page.walk.stops[stop].patch].name,
    weighed: page.patches[page.walk.stops[stop].patch].weighed,
    amount,
    taken,
    made: Date.now(),
  }).then(draw);

const drawWalk = () => {
  const { state } = clock();
  const shows = state === "in" || state === "ahead";
  const lines = [make("p", { class: page.walk.held ? "" : "warning" }, say(page.walk.held ? "held" : "notHeld"))];
  if (shows) page.walk.short.forEach(words => lines.push(make("p", { class: "warning" }, words)));
  const count = page.walk.stops.length;
  const told = page.walk.stops.filter((_, stop) => isStopTold(stop)).length;
  lines.push(make("p", { role: "status" }, say("stopsTold", told, count)));
  page.walk.stops.forEach((_, stop) => lines.push(stopCard(stop, shows)));
  return lines;
};

const stopCard = (stop, shows) => {
  const patch = page.patches[page.walk.stops[stop].patch];
  const day = patch.days[0];
  const lines = [];
  if (standsOn(patch)) lines.push(make("p", { class: "here" }, say("youAreHere")));
  const seen = seenOn(recordsOf(patch));
  seen.alike.forEach(name => lines.push(make("p", { class: "fatal" }, say("alikeSeen", name))));
  patch.first.forEach(n => lines.push(make("p", { class: "fatal" }, text(n))));
  if (seen.shut) lines.push(make("p", { class: "warning" }, say("shutByNote", seen.shut)));
  else if (shows) {
    lines.push(make("p", { class: "most" }, make("strong", {}, text(day.said)), ` ${say("forAll")}`));
    if (day.by !== undefined) lines.push(make("p", { class: "by" }, text(day.by)));
  }
  if (day.ask) lines.push(make("p", { class: "by" }, say("askFirst")));
  const rows = sharesAt(stop).map(({ party, share }) => shareRow(patch, stop, party, share, shows && !seen.shut));
  const title = make("h2", {}, make("span", { class: "number" }, String(stop + 1)), ` ${patch.short} `, make("span", { class: "crop" }, text(patch.crop)));
  const kind = `patch open${isStopTold(stop) ? " told" : ""}`;
  return make("article", { class: kind }, title, lines, make("ul", { class: "shares" }, rows), deeds(patch), details(patch, 0));
};

const shareRow = (patch, stop, party, share, shows) => {
  const told = toldOf(stop, party.number);
  const has = told?.amount !== undefined;
  const who = say("party", party.number, text(party.heads));
  const may = shows ? say("mayTake", text(share.said), share.turn) : "";
  const took = has ? say(told.taken === "all" ? "tookAll" : "took", figure(patch, told.amount)) : "";
  const name = `${stop}-${party.number}`;
  const label = words => ({ "aria-label": `${words}: ${say("partyShort", party.number)}, ${patch.name}` });
  const whole = say(has ? "untick" : "tookWhole");
  const tick = button(
    whole,
    () => (has ? tell(stop, party.number, undefined, undefined) : tell(stop, party.number, share.most, "all")),
    { id: `tick-${name}`, class: has ? "" : "main", ...label(whole) },
  );
  const other = button(say("otherAmount"), () => returnForm(patch, stop, party, share), {
    id: `other-${name}`,
    ...label(say("otherAmount")),
  });
  return make(
    "li",
    { class: has ? "told" : "" },
    make("p", {}, make("b", {}, who)),
    may ? make("p", {}, may) : undefined,
    has ? make("p", { class: "took" }, `✓ ${took}`) : undefined,
    make("div", { class: "deeds" }, tick, other),
  );
};

const returnForm = (patch, stop, party, share) => {
  const before = toldOf(stop, party.number)?.amount;
  const amount = amountField("amount", say("whatCameBack"), patch, before ?? share.most, share.most);
  const taken = choice("taken", say("howFarOfShare"), [
    ["", say("letAmountsTell")],
    ["all", say("allOfIt")],
    ["part", say("partOfIt")],
  ], false, toldOf(stop, party.number)?.taken ?? "");
  const read = () => {
    const took = amount.read();
    if (took === undefined) return say(patch.weighed ? "noWeight" : "noCount");
    return () => tell(stop, party.number, took, taken.chosen()[0] || undefined);
  };
  openForm(
    say("cameBackFrom", say("partyShort", party.number), patch.short),
    [make("p", { class: "limit" }, say("mayTake", text(share.said), share.turn)), amount.whole, taken.group],
    say("keepReturn"),
    read,
  );
};

/** What came back, as `walk settle` reads it. */
const returns = () => {
  if (!page.walk) return undefined;
  const told = [...store.told.values()].filter(
    it => it.walk === page.walk.name && it.day === page.walk.day && it.amount !== undefined,
  );
  const row = it => ({
    party: String(it.party),
    patch: it.patch,
    [it.weighed ? "mass_g" : "count"]: String(it.amount),
    ...(it.taken ? { taken: it.taken } : {}),
  });
  told.sort((one, other) => one.stop - other.stop || one.party - other.party);
  return told.length ? { walk: page.walk.name, day: page.walk.day, rows: told.map(row) } : undefined;
};
