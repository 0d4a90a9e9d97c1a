// Where a place lies: on which patch, how far and which way to another.

/** Metres for a degree of latitude and of longitude near a latitude: WGS84 radii of curvature. */
const metresPerDegree = latitude => {
  const [equatorial, flattening] = [6378137, 1 / 298.257223563];
  const squared = flattening * (2 - flattening);
  const sine = Math.sin((latitude * Math.PI) / 180);
  const curvature = 1 - squared * sine * sine;
  const vertical = equatorial / Math.sqrt(curvature);
  const meridional = (vertical * (1 - squared)) / curvature;
  const cosine = Math.cos((latitude * Math.PI) / 180);
  return [(vertical * cosine * Math.PI) / 180, (meridional * Math.PI) / 180];
};

const shortWay = degrees => degrees - 360 * Math.round(degrees / 360);

/** Metres east and north of a place. */
const offset = ([longitude, latitude], [lon, lat]) => {
  const [east, north] = metresPerDegree(latitude);
  return [shortWay(lon - longitude) * east, (lat - latitude) * north];
};

/** The corners of a ring, from the steps between them. */
const cornersOf = steps => {
  const corners = [];
  let [east, north] = [0, 0];
  for (let n = 0; n + 1 < steps.length; n += 2) {
    [east, north] = [east + steps[n], north + steps[n + 1]];
    corners.push([east / 1e6, north / 1e6]);
  }
  return corners;
};

/** How a patch lies from a place: metres to its edge (0 on it), and where its nearest part is. */
const fromHere = (patch, place) => {
  let best = patch.at && away(offset(place, patch.at));
  for (const steps of patch.rings ?? []) {
    const ring = cornersOf(steps).map(corner => offset(place, corner));
    if (holds(ring)) return { metres: 0, way: [0, 0] };
    for (let n = 0; n + 1 < ring.length; n += 1) {
      const side = away(nearestOn(ring[n], ring[n + 1]));
      if (!best || side.metres < best.metres) best = side;
    }
  }
  return best;
};

const away = way => ({ metres: Math.hypot(...way), way });

/** Whether a ring of metres holds the place that it is measured from. */
const holds = ring => {
  let inside = false;
  for (let n = 0, last = ring.length - 1; n < ring.length; last = n, n += 1) {
    const [[x, y], [u, v]] = [ring[n], ring[last]];
    if (y > 0 !== v > 0 && 0 < ((u - x) * -y) / (v - y) + x) inside = !inside;
  }
  return inside;
};

const nearestOn = ([x, y], [u, v]) => {
  const [east, north] = [u - x, v - y];
  const length = east * east + north * north;
  const along = length === 0 ? 0 : Math.min(1, Math.max(0, -(x * east + y * north) / length));
  return [x + along * east, y + along * north];
};

const wayName = ([east, north]) => {
  const turns = Math.atan2(east, north) / (2 * Math.PI);
  return page.compass[(Math.round(turns * 8) + 8) % 8];
};

const wayLength = metres => {
  if (metres >= 995) return `${trimmed((metres / 1000).toFixed(metres < 9950 ? 1 : 0))} km`;
  return `${metres < 95 ? Math.round(metres) : Math.round(metres / 10) * 10} m`;
};
