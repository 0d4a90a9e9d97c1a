"""Reads maps with GDAL, by way of pyogrio and geopandas, and tells of each layer what is in it.

python3 as_others_read.py FILE…            lists layer, number of features, system, whether all
                                           shapes are valid, and their ids, as JSON
python3 as_others_read.py FILE to OTHER    writes the layers of a map anew, as GDAL would
"""

import json
import sys

import geopandas
import pyogrio


def layers(file):
    return [name for name, _ in pyogrio.list_layers(file)]


def told(file):
    for layer in layers(file):
        read = geopandas.read_file(file, layer=layer)
        yield {
            "layer": layer,
            "features": len(read),
            "system": str(read.crs),
            "valid": bool(read.geometry.is_valid.all()),
            "bounds": [float(bound) for bound in read.total_bounds] if len(read) else [],
            "columns": [str(column) for column in read.columns],
        }


def anew(file, other):
    for layer in layers(file):
        read = geopandas.read_file(file, layer=layer)
        if len(read):
            driver = {"kml": "LIBKML", "gpkg": "GPKG", "geojson": "GeoJSON"}[other.rsplit(".")[-1]]
            read.to_file(other, layer=layer, driver=driver)


if sys.argv[2:3] == ["to"]:
    anew(sys.argv[1], sys.argv[3])
else:
    print(json.dumps({file: list(told(file)) for file in sys.argv[1:]}))
