// One's own place on the map of the site, with how far off it may be.

const SVG = "http://www.w3.org/2000/svg";

const draft = (tag, attributes) => {
  const element = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  return element;
};

/** Page units of a place on a site's map. */
const onMap = ([lon0, lat0, x, y, east, north], [lon, lat]) => [
  x + shortWay(lon - lon0) * east,
  y + (lat - lat0) * north,
];

const drawMap = () => {
  fill(at("where"), whereSaid());
  const number = shownDay();
  page.sites.forEach((site, n) => {
    const svg = document.querySelector(`#site-${n} svg.site-map`);
    if (!svg || !site.map.length) return;
    svg.querySelector("g.over")?.remove();
    const over = draft("g", { class: "over", "aria-hidden": "true" });
    const open = patch => number >= 0 && patch.site === n && patch.days[number].open && patch.at;
    for (const patch of page.patches.filter(open)) {
      const [x, y] = onMap(site.map, patch.at);
      over.append(draft("circle", { class: "map-open", cx: x, cy: y, r: 5 }));
    }
    if (here.place) {
      const [x, y] = onMap(site.map, here.place);
      const around = Math.max(7, here.accuracy * site.map[6]);
      over.append(draft("circle", { class: "map-around", cx: x, cy: y, r: around }));
      over.append(draft("circle", { class: "map-here", cx: x, cy: y, r: 6 }));
    }
    svg.append(over);
  });
};
