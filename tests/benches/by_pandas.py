#!/usr/bin/env python3
"""The week's answer as somebody would work it out with pandas, shapely and pyproj, from the same
files: to hold `stintbook load` and `week` against.

    pip install pandas shapely pyproj
    stintbook crops --format json > crops.json
    python3 tests/benches/by_pandas.py crops.json FOLDER 2027-03-15 > week.csv

FOLDER has land-*.geojson, permissions.csv, surveys.csv and cuts.csv, as `cargo bench --bench scale`
leaves them in target/tmp/scale-10000/files. It does less than the week does: ground, mean and doubt
of each survey, regrowth and share through all surveys and cuts, season, permission and age of the
survey, and the first day on which a shut patch opens. No holds, visits, eyes, feet, reserves,
closures, overrides, corrections, checks of what is read, nor anything kept for the next time.
"""

import glob
import json
import math
import sys
from datetime import date, timedelta

import numpy as np
import pandas as pd
import shapely
from pyproj import Geod, Transformer

# Of each habit: part taken, days to come back, largest share, days that a survey is believed.
HABITS = {
    "fast leaf": (1 / 3, 28, 0.4, 90),
    "slow leaf": (0.25, 90, 0.4, 180),
    "once a year": (0.3, 365, 0.35, 365),
    "slow": (0.1, 3650, 0.15, 1825),
}
Z = 0.5
USEFUL_G = 50
AHEAD = 800


def land(folder):
    """Sites and patches with their shapes."""
    sites, patches = {}, []
    for name in sorted(glob.glob(f"{folder}/land-*.geojson")):
        with open(name) as file:
            for feature in json.load(file)["features"]:
                told = feature["properties"]
                rings = feature["geometry"]["coordinates"]
                if told["kind"] == "site":
                    sites[told["name"]] = shapely.Polygon(rings[0], rings[1:])
                else:
                    shape = shapely.Polygon(rings[0], rings[1:])
                    patches.append((f"{told['site']}/{told['name']}", told["site"], told["crop"], shape))
    return sites, pd.DataFrame(patches, columns=["patch", "site", "crop", "shape"]).set_index("patch")


def harvestable(sites, patches):
    """Square metres of each patch on its site."""
    globe, areas = Geod(ellps="WGS84"), np.empty(len(patches))
    at = {name: n for n, name in enumerate(patches.index)}
    for site, of_site in patches.groupby("site", sort=False):
        ground = sites[site]
        centre = ground.centroid
        local = Transformer.from_crs("EPSG:4326", f"+proj=aeqd +lat_0={centre.y} +lon_0={centre.x}", always_xy=True)
        metres = lambda shape: shapely.transform(shape, local.transform, interleaved=False)
        boundary = metres(ground)
        for name, shape in zip(of_site.index, of_site["shape"]):
            whole = metres(shape)
            part = whole.intersection(boundary).area / whole.area
            areas[at[name]] = abs(globe.geometry_area_perimeter(shape)[0]) * part
    return areas


def surveyed(folder):
    """Mean, and squared relative standard error, of each survey's quadrats."""
    rows = pd.read_csv(f"{folder}/surveys.csv")
    rows["density"] = rows["mass_g"] / rows["frame_area_m2"]
    found = rows.groupby(["patch", "date", "by"], sort=False)["density"].agg(["mean", "std", "count"]).reset_index()
    found["doubt"] = (found["std"] / found["mean"]) ** 2 / found["count"]
    return found


def season(crop, first, days):
    """Whether each of so many days lies in the crop's season, which may wrap the year."""
    begins, ends = crop["season_from"], crop["season_to"]
    told = [(first + timedelta(n)).isoformat()[5:] for n in range(days)]
    within = (lambda day: begins <= day <= ends) if begins <= ends else (lambda day: day >= begins or day <= ends)
    return [within(day) for day in told]


def played(events, area, habit, on):
    """Standing crop, its low bound and the share on a day, and the last survey's day."""
    part, days, largest, _ = HABITS[habit]
    rate = math.log(0.95 / 0.05 * part / (1 - part)) / days
    best = full = doubt = share = None
    means, since, last = [], None, None
    for day, what, one, other in events:
        if best is not None:
            best, doubt, share = regrown(best, full, doubt, share, rate * (day - since), (day - since) / days, largest)
        since = day
        if what == 0:
            best, doubt, last = one * area, math.log1p(other), day
            means.append(best)
            full = sum(means) / len(means)
            share = largest if share is None else share
        elif best is not None:
            taper = min(1, max(0, (best / full - 0.3) / 0.5))
            limit = max(share, 0) * taper * best * math.exp(-Z * math.sqrt(doubt))
            share *= 1 - min(1, one / limit) if limit > 0 else 1
            best = max(best - one, 0.02 * full)
    if best is None:
        return None
    gone = on - since
    return (*regrown(best, full, doubt, share, rate * gone, gone / days, largest), full, rate, last)


def regrown(best, full, doubt, share, growth, intervals, largest):
    grown = math.exp(growth) if growth < 50 else 1e21
    best = full * best * grown / (full + best * (grown - 1)) if best > 0 else 0
    return best, min(1, doubt + 0.25 * intervals), largest - (largest - share) / grown


def main():
    crops_file, folder, today = sys.argv[1:]
    with open(crops_file) as file:
        crops = {crop["name"]: crop for crop in json.load(file)["crops"]}
    today = date.fromisoformat(today)
    on = today.toordinal()
    sites, patches = land(folder)
    patches["area"] = harvestable(sites, patches)
    surveys, cuts = surveyed(folder), pd.read_csv(f"{folder}/cuts.csv")
    permitted = pd.read_csv(f"{folder}/permissions.csv")
    permitted = set(permitted.loc[permitted["from"] <= today.isoformat(), "site"])
    days = {}
    ordinal = lambda text: days.setdefault(text, date.fromisoformat(text).toordinal())
    events = {}
    for patch, day, mean, doubt in zip(surveys["patch"], surveys["date"], surveys["mean"], surveys["doubt"]):
        events.setdefault(patch, []).append((ordinal(day), 0, mean, doubt))
    for patch, day, mass in zip(cuts["patch"], cuts["date"], cuts["mass_g"]):
        events.setdefault(patch, []).append((ordinal(day), 1, mass, 0))
    seasons = {name: season(crop, today, AHEAD) for name, crop in crops.items()}
    rows = []
    for name, site, crop, area in zip(patches.index, patches["site"], patches["crop"], patches["area"]):
        habit = crops[crop]["habit"]
        _, interval, largest, believed = HABITS[habit]
        state = played(sorted(e for e in events.get(name, []) if e[0] <= on), area, habit, on)
        if state is None or on - state[-1] > believed:
            rows.append((name, crop, "not known", 0, None, None))
            continue
        best, doubt, share, full, rate, _ = state

        def most(ahead):
            then, wide, part = regrown(best, full, doubt, share, rate * ahead, ahead / interval, largest)
            taper = min(1, max(0, (then / full - 0.3) / 0.5))
            return max(0, part) * taper * then * math.exp(-Z * math.sqrt(wide))

        is_season, limit = seasons[crop][0], most(0)
        if site not in permitted:
            verdict = "no permission"
        elif not is_season:
            verdict = "out of season"
        else:
            verdict = "open" if limit >= USEFUL_G else "resting"
        opens = None
        if verdict in ("out of season", "resting"):
            opens = next((n for n in range(1, AHEAD) if seasons[crop][n] and most(n) >= USEFUL_G), None)
        rows.append((name, crop, verdict, limit if verdict == "open" else 0, opens and today + timedelta(opens), best))
    week = pd.DataFrame(rows, columns=["patch", "crop", "verdict", "most_g", "opens_on", "standing_g"])
    week.sort_values(["verdict", "opens_on", "patch"]).to_csv(sys.stdout, index=False)


if __name__ == "__main__":
    main()
