// Which of the page's days it is. The phone's clock may be wrong; then no amount is shown.

const dayOf = moment =>
  [moment.getFullYear(), moment.getMonth() + 1, moment.getDate()]
    .map((part, n) => String(part).padStart(n ? 2 : 4, "0"))
    .join("-");

const today = () => dayOf(new Date());

/** `early`: before the page was made. `ahead`: made, and its first day is to come. `late`: past. */
const clock = () => {
  const day = today();
  const number = page.days.findIndex(known => known.date === day);
  if (day < page.made) return { day, number: -1, state: "early" };
  if (number >= 0) return { day, number, state: "in" };
  return { day, number: -1, state: day < page.days[0].date ? "ahead" : "late" };
};

/** The day that is shown: today, or the walk's day to come. */
const shownDay = () => {
  const { number, state } = clock();
  return state === "ahead" ? 0 : number;
};
