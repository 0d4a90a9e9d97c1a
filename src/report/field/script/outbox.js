// What was recorded goes to the desk by itself once something answers there: in the order in which
// it was recorded, and what became of each is kept beside it. Ids are drawn here, so that what is
// sent twice is in the book once.

const app = page.app;

/** So many go at once. */
const BATCH = 20;
/** How often it is tried again while something waits, in milliseconds. */
const AGAIN = 45000;

const outbox = { state: "idle", running: false, trusted: Boolean(app) && isSecureContext, kept: false };

const isTold = record => record.became === "recorded" || record.became === "known";

const isInBook = record => isKnown.has(record.id) || isTold(record);

/** What the desk has not answered yet, the oldest first. */
const toSend = () =>
  inOrder()
    .reverse()
    .filter(record =>
      record.struck ? isInBook(record) && !record.withdrawn : !isInBook(record) && record.became !== "refused",
    );

/** A walk that is to be settled by what came back. */
const settling = () => page.walk && store.settings.get(`settle ${page.walk.name} ${page.walk.day}`);

const settleBy = change => {
  const id = `settle ${page.walk.name} ${page.walk.day}`;
  return keep("settings", { ...settling(), id, ...change }).then(draw).then(sendOff);
};

/** What the desk says to one request; nothing where it cannot be asked, and why is in the state. */
const deskSays = async (address, asked) => {
  let answer;
  try {
    answer = await fetch(address, { cache: "no-store", redirect: "manual", ...asked });
  } catch {
    outbox.state = "noSignal";
    return undefined;
  }
  if (answer.type === "opaqueredirect" || answer.status === 401 || answer.status === 403) {
    outbox.state = "signIn";
    return undefined;
  }
  outbox.state = "later";
  return answer.ok ? answer.json().catch(() => undefined) : undefined;
};

const sendOff = async () => {
  if (!app || outbox.running || !(toSend().length || settling()?.wanted)) return;
  outbox.running = true;
  const turn = async lock => lock === null || sendInOrder();
  try {
    // Of two tabs one sends.
    await (navigator.locks?.request("stintbook-field-outbox", { ifAvailable: true }, turn) ?? turn());
  } finally {
    outbox.running = false;
    if (!document.querySelector("dialog[open]")) draw();
  }
};

const sendInOrder = async () => {
  const hello = await deskSays("/field/hello");
  if (!hello) return;
  const send = told =>
    deskSays("/field/send", {
      method: "POST",
      headers: { "content-type": "application/json", "x-stintbook-token": hello.token },
      body: JSON.stringify({ schema: page.records, book: page.book, made: page.made, ...told }),
    });
  // What somebody else recorded on this phone is for them to send.
  const isOwn = record => !hello.account || record.row.by === hello.account;
  const asked = new Set();
  for (;;) {
    const next = toSend().filter(record => isOwn(record) && !asked.has(record.id)).slice(0, BATCH);
    if (!next.length) break;
    next.forEach(record => asked.add(record.id));
    const rows = all => all.map(({ kind, row }) => ({ kind, ...row }));
    const said = await send({
      records: rows(next.filter(record => !record.struck)),
      struck: rows(next.filter(record => record.struck)),
      sure: next.filter(record => record.sure).map(record => record.id),
    });
    if (!said) return;
    for (const { fact, became, said: words, asks } of said.told) {
      const record = store.records.get(fact);
      if (!record) continue;
      const change = became === "withdrawn" ? { withdrawn: true } : { became, said: words, asks };
      await keep("records", { ...record, ...change });
    }
  }
  const walk = settling();
  if (walk?.wanted && returns()) {
    const said = await send({ returns: returns(), assume: walk.assume === true, key: walk.key });
    if (!said) return;
    await keep("settings", { ...walk, wanted: false, ...said.walk });
  }
  outbox.state = toSend().length ? "otherHand" : "idle";
};

/** How it stands with the desk, over the records. */
const outboxSaid = () => {
  if (!app) return [];
  const lines = [];
  const count = toSend().length;
  if (count || settling()?.wanted) {
    const words = { noSignal: "waitsForSignal", signIn: "waitsForSignIn", later: "waitsForDesk", otherHand: "waitsForHand" };
    lines.push(make("p", { class: "warning" }, say(words[outbox.state] ?? "isSending", count)));
    if (outbox.state === "signIn") lines.push(make("p", {}, make("a", { href: "/sign-in" }, say("signIn"))));
    lines.push(button(say("sendNow"), sendOff, { class: "wide", id: "send-now" }));
  } else if (live().some(isTold)) lines.push(make("p", {}, say("allSent")));
  if (page.walk && returns()) lines.push(...settleSaid());
  return lines;
};

const settleSaid = () => {
  const walk = settling();
  if (walk?.became === "recorded") return [make("p", {}, say("walkSettled")), ...saidLines(walk.said)];
  const settle = change => () => settleBy({ wanted: true, became: undefined, said: undefined, key: newId(), ...change });
  const lines = walk?.became === "refused" ? [make("div", { class: "warning" }, saidLines(walk.said))] : [];
  if (walk?.wanted) return lines;
  lines.push(button(say("settleWalk"), settle({ assume: false }), { class: "wide main", id: "settle-walk" }));
  if (walk?.asks) lines.push(button(say("assumeTaken"), settle({ assume: true }), { class: "wide", id: "assume-taken" }));
  return lines;
};

const saidLines = words => (words ?? "").split("\n").filter(Boolean).map(line => make("p", {}, line.trim()));

/** What the desk would not take, with what can be done about it. */
const refusedSaid = record => {
  if (record.became !== "refused" || record.struck) return [];
  const lines = [make("div", { class: "warning" }, make("p", {}, say("refused")), saidLines(record.said))];
  const again = change => () => keep("records", { ...record, became: undefined, said: undefined, ...change }).then(draw).then(sendOff);
  const label = record.asks ? "rightAllTheSame" : "sendAgain";
  lines.push(button(say(label), again(record.asks ? { sure: true } : {}), { id: `again-${record.id}` }));
  return lines;
};

/** The book has it and the page's figures do not, or it was taken back and they still have it. */
const isNewsToPage = record => isTold(record) && isKnown.has(record.id) === (record.withdrawn === true);

/** What a served page says across its views. */
const appSaid = () => {
  if (!app) return [];
  const file = make("a", { href: `${location.pathname}.html${location.search}`, download: "" }, say("asAFile"));
  if (!outbox.trusted) return [make("div", { class: "warning" }, make("p", {}, say("notTrusted")), make("p", {}, file))];
  const lines = [];
  if (outbox.kept === false) lines.push(make("p", { class: "warning" }, say("notYetKept")));
  if ([...store.records.values()].some(isNewsToPage)) {
    lines.push(button(say("askAnew"), () => location.reload(), { class: "wide", id: "ask-anew" }));
  }
  return lines;
};

/** Keeps this page and its parts, so that it opens where nothing answers. */
const keepPage = async () => {
  if (!outbox.trusted || !navigator.serviceWorker) return;
  try {
    await navigator.serviceWorker.register("/field/worker.js", { scope: "/field/" });
    const kept = await caches.open("stintbook-field");
    const missing = [];
    for (const address of [location.href, ...app.parts]) {
      if (!(await kept.match(address))) missing.push(address);
    }
    await kept.addAll(missing);
    const own = await kept.match(location.href);
    if (own && app.at !== location.pathname + location.search) await kept.put(app.at, own);
    await navigator.serviceWorker.ready;
    outbox.kept = true;
  } catch {
    outbox.kept = false;
  }
};

const forgetPage = async () => {
  await caches.delete("stintbook-field");
  const worker = await navigator.serviceWorker.getRegistration("/field/");
  await worker?.unregister();
  outbox.kept = false;
  draw();
};

if (app) {
  addEventListener("online", sendOff);
  setInterval(sendOff, AGAIN);
}
