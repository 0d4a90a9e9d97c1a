// Where one is, as far as the phone knows. Asked only once somebody wants it.

const here = { watch: undefined, place: undefined, trouble: undefined, asked: false };

/** A position that is known no better than this, in metres, names no patch. */
const TOO_ROUGH = 100;
/** Longer without news the position is told as old, in milliseconds. */
const OLD = 60000;

const watchPosition = () => {
  if (here.watch !== undefined) return;
  here.asked = true;
  if (!navigator.geolocation) {
    here.trouble = "noPosition";
    return draw();
  }
  here.watch = navigator.geolocation.watchPosition(
    ({ coords }) => {
      here.place = [coords.longitude, coords.latitude];
      here.accuracy = coords.accuracy;
      here.since = Date.now();
      here.trouble = undefined;
      drawHere();
    },
    error => {
      here.trouble = { 1: "positionRefused", 3: "positionSlow" }[error.code] ?? "noPosition";
      if (error.code === 1) {
        navigator.geolocation.clearWatch(here.watch);
        here.watch = undefined;
        here.place = undefined;
      }
      drawHere();
    },
    { enableHighAccuracy: true, maximumAge: 5000, timeout: 30000 },
  );
  draw();
};

/** Every patch with how it lies from here, the nearest first. */
const aroundHere = () => {
  if (!here.place) return [];
  const lying = page.patches.map(patch => ({ patch, ...fromHere(patch, here.place) }));
  return lying.filter(it => it.metres !== undefined).sort((a, b) => a.metres - b.metres);
};

/** In words: on which patch, or how far from the nearest, and the way to the next open ones. */
const whereSaid = () => {
  if (!here.asked) return [button(say("findMe"), watchPosition, { class: "wide", id: "find-me" })];
  const lines = [];
  const line = (words, kind) => lines.push(make("p", { class: kind }, words));
  if (here.trouble) line(say(here.trouble), "warning");
  if (here.trouble === "positionRefused") {
    lines.push(button(say("tryAgain"), watchPosition, { class: "wide", id: "find-me" }));
  }
  if (!here.place) {
    if (!here.trouble) line(say("looking"));
    return lines;
  }
  const metres = wayLength(here.accuracy);
  const around = aroundHere();
  const isRough = here.accuracy > TOO_ROUGH;
  if (Date.now() - here.since > OLD) line(say("positionOld"), "warning");
  if (isRough) line(say("tooRough", metres), "warning");
  const on = around.filter(it => it.metres === 0).map(it => it.patch);
  if (!isRough && on.length) {
    line(say("youStandOn", on.map(patch => patch.name).join(", "), metres), "here");
  } else if (!isRough) line(say("onNoPatch", metres));
  const next = nextFrom(around).slice(0, 3);
  const way = ({ patch, metres, way }) =>
    make("li", {}, make("b", {}, `${patch.number} ${patch.short}`), ` ${wayLength(metres)} ${wayName(way)}`);
  if (next.length) {
    lines.push(make("p", {}, say(page.walk ? "nextStops" : "nextOpen")));
    lines.push(make("ol", { class: "ways" }, next.map(way)));
  }
  return lines;
};

/** Open patches one does not stand on, nearest first; on a walk its stops, in their order. */
const nextFrom = around => {
  const number = shownDay();
  if (page.walk) {
    const waiting = page.walk.stops.filter((_, n) => !isStopTold(n)).map(stop => stop.patch);
    const lying = waiting.map(n => around.find(it => it.patch === page.patches[n]));
    return lying.filter(it => it && it.metres > 0);
  }
  return around.filter(it => it.metres > 0 && number >= 0 && it.patch.days[number].open);
};
