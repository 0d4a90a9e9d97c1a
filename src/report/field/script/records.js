// What this phone holds: looked through, struck out, and handed over as one file.

const inOrder = () => [...store.records.values()].sort((one, other) => other.made - one.made);

const live = () => inOrder().filter(record => !record.struck);

const waiting = () => live().filter(record => !isInBook(record));

const drawRecords = () => {
  const all = inOrder();
  const told = returns()?.rows.length ?? 0;
  const lines = [make("h2", {}, say("records")), ...safety(), ...outboxSaid(), ...(told ? [make("p", {}, say("returnsKept", told))] : [])];
  if (all.length || told) lines.push(button(say("handOver"), handOver, { class: "wide main", id: "hand-over" }));
  if (!all.length) lines.push(make("p", {}, say("noRecords")));
  lines.push(make("ul", { class: "records" }, all.map(recordRow)));
  const settled = all.filter(record => isKnown.has(record.id));
  if (settled.length) {
    const clear = () => forget("records", settled.map(record => record.id)).then(draw);
    lines.push(button(say("clearKnown", settled.length), clear, { class: "wide", id: "clear-known" }));
  }
  if (outbox.kept === true) lines.push(button(say("forgetPage"), forgetPage, { class: "wide", id: "forget-page" }));
  return lines;
};

/** How much is kept, and whether it is safe. */
const safety = () => {
  const count = waiting().length;
  const lines = [];
  if (store.refused || isUnkept()) return [make("p", { class: "warning" }, say("notKeptHere", store.refused ?? ""))];
  lines.push(make("p", {}, say("keptHere", count)));
  lines.push(make("p", {}, say(store.persists ? "isSafe" : "maybeUnsafe")));
  return lines;
};

const recordRow = record => {
  const kind = say({ cut: "kindCut", glance: "kindGlance", visit: "kindVisit" }[record.kind] ?? "kindVisit");
  const where = record.kind === "visit" ? `${record.row.site}/${record.row.patch}` : record.row.patch;
  const state = record.struck
    ? say("struckOut")
    : isInBook(record)
      ? say("inTheBook")
      : record.sent
        ? say("handedOver")
        : say("onThisPhone");
  const strike = () =>
    keep("records", { ...record, struck: !record.struck }).then(draw).then(sendOff);
  const label = say(record.struck ? "putBack" : "strikeOut");
  return make(
    "li",
    { class: record.struck ? "struck" : "" },
    make("p", {}, make("b", {}, kind), ` ${where}: ${record.words}`),
    make("p", { class: "by" }, `${record.row.date}, ${record.row.by} · ${state}`),
    refusedSaid(record),
    // What the book has taken back is written anew, not put back.
    record.withdrawn ? undefined : button(label, strike, { id: `strike-${record.id}`, "aria-label": `${label}: ${kind} ${where}, ${record.words}` }),
  );
};

/** Everything that is not in the book by this page's account, as the book reads it. */
const fileText = () => {
  const records = waiting().sort((one, other) => one.made - other.made);
  // What was handed over before may be in the book: it is named there.
  const struck = inOrder().filter(record => record.struck && (record.sent || isInBook(record)));
  return JSON.stringify(
    {
      schema: page.records,
      book: page.book,
      made: page.made,
      records: records.map(({ kind, row }) => ({ kind, ...row })),
      struck: struck.map(({ kind, row }) => ({ kind, ...row })),
      returns: returns(),
    },
    undefined,
    1,
  );
};

const handOver = async () => {
  const body = fileText();
  const name = `field-${today()}-${newId().slice(-6)}`;
  const shared = [
    new File([body], `${name}.json`, { type: "application/json" }),
    new File([body], `${name}.txt`, { type: "text/plain" }),
  ].find(file => navigator.canShare?.({ files: [file] }));
  try {
    if (shared) await navigator.share({ files: [shared] });
    else download(body, `${name}.json`);
  } catch (error) {
    // Who closes the sheet wants nothing; what the phone cannot share is downloaded.
    if (error?.name === "AbortError") return;
    download(body, `${name}.json`);
  }
  for (const record of waiting()) await keep("records", { ...record, sent: Date.now() });
  announce(say("handedOverSaid"));
  draw();
};

const download = (body, name) => {
  const address = URL.createObjectURL(new Blob([body], { type: "application/json" }));
  const link = make("a", { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
};
