// What is recorded of a patch: a cut, a judgement by eye, what was seen.

/** Keeps a record, and asks once that the browser keeps it for good. */
const record = async (kind, row, words, id = newId()) => {
  const alike = [...store.records.values()].filter(
    other =>
      other.kind === kind &&
      !other.struck &&
      ["patch", "date", "by", "mass_g", "count", "standing"].every(
        column => other.row[column] === row[column],
      ),
  );
  // Two alike are two: whoever pressed the button meant it.
  const visit = kind !== "visit" && alike.length ? { visit: String(alike.length + 1) } : {};
  await keep("records", { id, kind, row: { fact: id, ...row, ...visit }, words, made: Date.now() });
  if (!store.persists) await askToPersist();
  const where = (row.patch ?? "").replace(/^.*\//, "");
  sendOff();
  announce(say(isUnkept() ? "notKept" : "kept", `${where}, ${words}`));
};

const cutForm = patch => {
  const number = clock().number;
  const now = number >= 0 ? standing(patch, number) : { ask: true, cuts: [] };
  const day = number >= 0 ? patch.days[number] : undefined;
  const most = now.ask ? undefined : (now.left ?? day?.most);
  const amount = amountField("amount", say("howMuch"), patch, most, day?.most);
  const taken = choice("taken", say("howFar"), [
    ["", say("asWeighed")],
    ["all", say("allOfIt")],
    ["part", say("partOfIt")],
    ["one", say("oneInSome")],
  ], false, "");
  const oneIn = typed("one-in", day?.n ? String(day.n) : "", { inputmode: "numeric" });
  const oneInField = field(say("oneInHowMany"), oneIn);
  oneInField.hidden = true;
  taken.inputs.forEach(input =>
    input.addEventListener("change", () => (oneInField.hidden = taken.chosen()[0] !== "one")),
  );
  const people = typed("people", store.settings.get("people")?.value ?? "1", { inputmode: "numeric" });
  const signed = signature();
  const limit = day?.open && !now.ask ? saidLimit(patch, number, now) : say("askTheBook");
  const read = () => {
    const took = amount.read();
    if (took === undefined) return say(patch.weighed ? "noWeight" : "noCount");
    const who = signed.read();
    if (typeof who === "string") return who;
    const [how] = taken.chosen();
    if (how === "one" && !/^[1-9]\d{0,5}$/.test(oneIn.value.trim())) return say("noOneIn");
    if (!/^[1-9]\d{0,3}$/.test(people.value.trim())) return say("noPeople");
    const said = how === "one" ? `1 in ${oneIn.value.trim()}` : how;
    return async () => {
      keep("settings", { id: "people", value: people.value.trim() });
      const row = {
        patch: patch.name,
        date: who.date,
        by: who.by,
        [patch.weighed ? "mass_g" : "count"]: String(took),
        taken: said,
        people: people.value.trim(),
        recorded_on: who.recorded_on,
      };
      const part = { all: say("allOfIt"), part: say("partOfIt") }[said] ?? said;
      await record("cut", row, [figure(patch, took), part].filter(Boolean).join(", "));
    };
  };
  openForm(
    say("cutOf", patch.short),
    [
      make("p", { class: "limit" }, limit),
      ...patch.first.map(n => make("p", { class: "fatal" }, text(n))),
      amount.whole,
      taken.group,
      oneInField,
      field(say("howManyPeople"), people),
      ...signed.fields,
    ],
    say("keepCut"),
    read,
  );
};

const glanceForm = patch => {
  const amount = amountField("amount", say("whatStands"), patch, undefined, undefined);
  const signed = signature();
  const read = () => {
    const stands = amount.read();
    if (!stands) return say(patch.weighed ? "noWeight" : "noCount");
    const who = signed.read();
    if (typeof who === "string") return who;
    const standing = patch.weighed ? `${stands}g` : String(stands);
    const row = { patch: patch.name, ...who, standing };
    return () => record("glance", row, say("someOf", figure(patch, stands)));
  };
  openForm(
    say("glanceAt", patch.short),
    [make("p", {}, say("glanceHint")), amount.whole, ...signed.fields],
    say("keepGlance"),
    read,
  );
};

/** What tells a photo again; the picture itself stays where it is. */
const photoSaid = async file => {
  const bytes = await file.arrayBuffer();
  const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  const hex = [...sum].map(byte => byte.toString(16).padStart(2, "0")).join("");
  return `${file.name}, ${dayOf(new Date(file.lastModified))}, ${file.size} bytes, SHA-256 ${hex}`;
};

const noteForm = patch => {
  const names = patch.like.map(([n]) => text(n).replace(/ \(.*$/, ""));
  const options = all => all.map(name => [name, name]);
  const alike = choice("alike", say("alikeFound"), options(names), true);
  const other = typed("other-alike");
  const trouble = choice("trouble", say("whatBefell"), options(page.troubles.map(it => it.name)), true);
  const stage = choice("stage", say("whichStage"), options(page.stages));
  const over = choice("over", say("whatIsOver"), options(page.troubles.map(it => it.name)), true);
  const cleared = typed("cleared");
  const nesting = typed("nesting");
  const asked = choice("asked", say("whatWasAnswered"), options(page.answers));
  const ground = typed("ground");
  const weather = typed("weather");
  const note = typed("note", "", { maxlength: 500 });
  const photo = make("input", { type: "file", id: "photo", accept: "image/*" });
  const signed = signature();
  const read = () => {
    const who = signed.read();
    if (typeof who === "string") return who;
    const found = [...alike.chosen(), other.value.trim()].filter(Boolean);
    const visit = { site: page.sites[patch.site].name, patch: patch.short, ...who };
    const row = {
      ...visit,
      stage: stage.chosen()[0],
      trouble: trouble.chosen().join(";"),
      over: over.chosen().join(";"),
      look_alike: found[0],
      cleared: cleared.value.trim(),
      nesting: nesting.value.trim(),
      asked: asked.chosen()[0],
      ground: ground.value.trim(),
      weather: weather.value.trim(),
      note: note.value.trim(),
    };
    if (trouble.chosen().some(name => over.chosen().includes(name))) return say("bothAtOnce");
    const [file] = photo.files;
    const told = Object.entries(row).filter(([name, value]) => value && !(name in visit));
    if (!told.length && !file) return say("nothingSaid");
    return async () => {
      if (file) {
        try {
          row.photo = await photoSaid(file);
        } catch {
          row.note = [row.note, file.name].filter(Boolean).join("; ");
        }
        told.push(["photo", file.name]);
      }
      const words = told.map(([, value]) => value.replaceAll(";", ", "));
      await record("visit", filled(row), [...words, ...found.slice(1)].join(", "));
      // A visit has room for one look-alike; each other one is a visit of its own.
      for (const name of found.slice(1)) await record("visit", { ...visit, look_alike: name }, name);
    };
  };
  openForm(
    say("noteOn", patch.short),
    [
      alike.group,
      field(say("otherAlike"), other),
      trouble.group,
      stage.group,
      field(say("freeNote"), note),
      field(say("whichPhoto"), photo, say("photoHint")),
      make(
        "details",
        {},
        make("summary", {}, say("more")),
        over.group,
        field(say("whatIsCleared"), cleared),
        field(say("whatNests"), nesting),
        asked.group,
        field(say("howIsGround"), ground),
        field(say("whichWeather"), weather),
      ),
      ...signed.fields,
    ],
    say("keepNote"),
    read,
  );
};

const filled = row => Object.fromEntries(Object.entries(row).filter(([, value]) => value));
