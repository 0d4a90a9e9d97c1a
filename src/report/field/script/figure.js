// Amounts as the book writes them: grams under a kilogram, kilograms above, bare numbers of pieces.

const trimmed = figure => (figure.includes(".") ? figure.replace(/\.?0+$/, "") : figure);

const weight = grams => {
  if (grams < 9.95) return `${trimmed(grams.toFixed(1))} g`;
  if (grams < 999.5) return `${grams.toFixed(0)} g`;
  const kilograms = grams / 1000;
  return `${trimmed(kilograms.toFixed(kilograms < 9.995 ? 2 : 1))} kg`;
};

const pieces = (count, piece) => {
  const number = count < 10 ? trimmed(count.toFixed(1)) : count.toFixed(0);
  return `${number} ${piece}${number === "1" ? "" : "s"}`;
};

const figure = (patch, amount) => (patch.weighed ? weight(amount) : pieces(amount, patch.piece));

/** No more than is there, in steps that are shown whole. */
const toTheSafeSide = (patch, amount) => {
  if (amount <= 0) return 0;
  if (!patch.weighed) return amount < 10 ? Math.floor(amount * 10) / 10 : Math.floor(amount);
  const step = amount < 10 ? 0.1 : amount < 1000 ? 1 : amount < 9990 ? 10 : 100;
  // A tenth has no end in binary: what is a whole number of steps but for that stays one.
  return Math.floor(amount / step + 1e-9) * step;
};

/** A typed amount in grams or pieces; nothing for what is none. */
const readAmount = (typed, patch) => {
  const found = /^(\d+(?:\.\d+)?|\.\d+)\s*(kg|g)?$/.exec(typed.trim().toLowerCase());
  if (!found || (found[2] && !patch.weighed)) return undefined;
  const amount = Number(found[1]) * (found[2] === "kg" ? 1000 : 1);
  return Number.isFinite(amount) ? Number(amount.toFixed(3)) : undefined;
};

/** Steps that a thumb takes: round, and large beside what is there. */
const stepsOf = (patch, most) => {
  const all = patch.weighed ? [10, 50, 100, 250, 500, 1000] : [1, 5, 10, 25, 50, 100];
  const fitting = all.filter(step => step <= Math.max(most ?? all[3], all[1]));
  return fitting.slice(-3);
};
