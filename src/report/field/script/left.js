// What the phone itself knows beyond the book's answers. No rule is worked out: what was recorded
// here today comes off today's most, and for any later day the book is to be asked.

const isKnown = new Set(page.known);

/** Records of this phone that the page's figures do not have. */
const recordsOf = patch =>
  [...store.records.values()].filter(
    record =>
      !record.struck &&
      !isKnown.has(record.id) &&
      (record.row.patch === patch.name ||
        (record.kind === "visit" &&
          record.row.site === page.sites[patch.site].name &&
          (!record.row.patch || record.row.patch === patch.short))),
  );

const amountOf = record => Number(record.row.mass_g ?? record.row.count);

/** Cuts on the other patches of a patch's site, by a day; a cap of the permission is for all. */
const cutsBeside = (patch, date) =>
  page.patches
    .filter(other => other !== patch && other.site === patch.site && other.weighed === patch.weighed)
    .flatMap(recordsOf)
    .filter(record => record.kind === "cut" && record.row.date <= date);

const sumOf = cuts => cuts.reduce((sum, record) => sum + amountOf(record), 0);

/** How the figures of a day stand: `left` in the crop's measure, or `ask` where nobody here knows. */
const standing = (patch, number) => {
  const { date } = page.days[number];
  const { most, room } = patch.days[number];
  const records = recordsOf(patch);
  const cuts = records.filter(record => record.kind === "cut" && record.row.date <= date);
  const beside = room === undefined ? [] : cutsBeside(patch, date);
  const isOfDay = record => record.row.date === date;
  const ofDay = cuts.filter(isOfDay);
  const seen = seenOn(records);
  const isOlder = [...cuts, ...beside].some(record => !isOfDay(record));
  const found = { seen, ask: isOlder || seen.shut !== undefined, cuts: [...ofDay, ...beside] };
  if (found.ask || found.cuts.length === 0) return found;
  if (ofDay.some(record => /^1 in /.test(record.row.taken ?? ""))) return { ...found, ask: true };
  if (ofDay.some(record => record.row.taken === "all")) return { ...found, left: 0 };
  if (most === undefined) return found;
  const own = sumOf(ofDay);
  const left = Math.min(most - own, (room ?? Infinity) - own - sumOf(beside));
  // What others took of the site's cap leaves this patch as it was, where enough is left of it.
  if (!ofDay.length && left >= most) return { ...found, cuts: [] };
  return { ...found, left: toTheSafeSide(patch, left), shared: beside.length > 0 };
};

/** What was noted here and stands before all else. */
const seenOn = records => {
  const visits = records
    .filter(record => record.kind === "visit")
    .sort((one, other) => one.made - other.made);
  const shuts = new Set(page.troubles.filter(trouble => trouble.shuts).map(it => it.name));
  let shut;
  const alike = new Set();
  for (const { row } of visits) {
    for (const trouble of (row.trouble ?? "").split(";").filter(Boolean)) {
      if (shuts.has(trouble)) shut = trouble;
    }
    if ((row.over ?? "").split(";").includes(shut)) shut = undefined;
    if (row.asked === "no") shut = "asked";
    if (row.look_alike) alike.add(row.look_alike);
    if (row.cleared) alike.delete(row.cleared);
  }
  return { shut, alike: [...alike] };
};
