"""Makes places.csv: cities, and points inland, at borders, at coasts and at sea, with what Natural Earth says of them.

    pip install shapely==2.2.0 pyshp==3.1.6
    npm pack world-atlas@2.0.2
    pip download --no-deps geopandas==0.14.4
    python3 places.py world-atlas-2.0.2.tgz geopandas-0.14.4-py3-none-any.whl > places.csv

Cities: Natural Earth's populated places, 1:110m, as in geopandas 0.14.4. Countries: Natural Earth's countries, 1:10m
(places.bin is made of those of 1:50m). Continents: Natural Earth's countries, 1:110m, as in geopandas 0.14.4; empty
where that table has no such country.
"""

import io
import json
import math
import random
import sys
import tarfile
import zipfile

import shapefile
import shapely
from shapely import STRtree
from shapely.geometry import Point, Polygon, box

KM = 111.2
# Bases, leases and a buffer zone that places.bin does not tell apart.
LEFT_OUT = {"Akrotiri", "Baikonur", "Cyprus U.N. Buffer Zone", "Dhekelia", "USNB Guantanamo Bay"}


def unrolled(ring):
    out = [tuple(ring[0])]
    for lon, lat in ring[1:]:
        out.append((lon + 360 * round((out[-1][0] - lon) / 360), lat))
    return out


def countries(source, member):
    with tarfile.open(source) as package:
        topology = json.load(package.extractfile(member))
    (sx, sy), (mx, my) = topology["transform"]["scale"], topology["transform"]["translate"]
    arcs = []
    for differences in topology["arcs"]:
        x = y = 0
        arc = []
        for dx, dy in differences:
            x, y = x + dx, y + dy
            arc.append((x * sx + mx, y * sy + my))
        arcs.append(arc)

    def ring(indices):
        out = []
        for index in indices:
            arc = arcs[index] if index >= 0 else arcs[~index][::-1]
            out += arc[1:] if out else arc
        return out

    shapes = []
    for geometry in topology["objects"]["countries"]["geometries"]:
        for piece in geometry["arcs"] if geometry["type"] == "MultiPolygon" else [geometry["arcs"]]:
            rings = [ring(indices) for indices in piece]
            rings = [r for r in rings if len(r) > 3]
            if not rings:
                continue
            name, outer = geometry["properties"]["name"], unrolled(rings[0])
            if abs(outer[0][0] - outer[-1][0]) > 1:  # around the pole
                outer = rings[0]
            for turn in (-360, 0, 360) if outer != rings[0] else (0,):
                moved = [(lon + turn, lat) for lon, lat in outer]
                shapes.append((name, shapely.make_valid(Polygon(moved, rings[1:]))))
    return shapes


def table(wheel, stem):
    with zipfile.ZipFile(wheel) as package:
        parts = {end: io.BytesIO(package.read(f"geopandas/datasets/{stem}/{stem}.{end}")) for end in ("shp", "shx", "dbf")}
    return shapefile.Reader(**parts, encoding="latin-1")


def flat(shape, lat):
    """Shrunk so that a degree is KM both ways at a latitude."""
    return shapely.transform(shape, lambda points: points * [math.cos(math.radians(lat)) * KM, KM])


def main(world, wheel):
    random.seed(20260101)
    shapes = [s for s in countries(world, "package/countries-10m.json") if s[0] not in LEFT_OUT]
    names, polygons = [name for name, _ in shapes], [polygon for _, polygon in shapes]
    tree = STRtree(polygons)
    continent = {r["name"]: r["continent"] for r in table(wheel, "naturalearth_lowres").records()}

    def near(point, km):
        """Countries within some km, the nearest first, with their distances."""
        reach = km / KM
        wide = reach / max(0.05, math.cos(math.radians(point.y)))
        around = tree.query(box(point.x - wide, point.y - reach, point.x + wide, point.y + reach))
        best = {}
        for at in around:
            off = flat(polygons[at], point.y).distance(flat(point, point.y))
            if off <= km:
                best[names[at]] = min(off, best.get(names[at], 1e9))
        return sorted((off, name) for name, off in best.items())

    out = []

    def row(kind, name, point, country, others=()):
        known = continent.get(country, "") if country else ""
        known = "" if known == "Seven seas (open ocean)" else known
        out.append(f'{kind},{name},{point.y:.5f},{point.x:.5f},{country},{known},{"|".join(others)}')

    for shape in table(wheel, "naturalearth_cities").shapeRecords():
        point = Point(shape.shape.points[0])
        found = near(point, 10.0)
        # too small for the quantised 1:10m shapes
        country = "Vatican" if shape.record["name"] == "Vatican City" else found[0][1]
        row("city", shape.record["name"].replace(",", ""), point, country)

    def edge_point():
        """A point of some land's outline, larger lands oftener, and that land's polygon."""
        at = random.choices(range(len(polygons)), [p.area ** 0.5 if p.area > 0.3 else 0 for p in polygons])[0]
        shape = max(shapely.get_parts(shapely.get_parts([polygons[at]])), key=lambda part: part.area)
        return at, Point(random.choice(shape.exterior.coords[:-1]))

    kinds = {"border": 80, "coast": 80, "sea": 80, "inland": 120}
    while any(kinds.values()):
        at, edge = edge_point()
        if abs(edge.y) > 80 or abs(edge.x) > 179:
            continue
        wide = random.choice([0.03, 0.5, 3.0])
        point = Point(round(edge.x + random.gauss(0, wide), 5), round(edge.y + random.gauss(0, wide), 5))
        if abs(point.y) > 84 or abs(point.x) > 180:
            continue
        found = near(point, 60.0)
        on_land = bool(found) and found[0][0] == 0.0
        if not found:
            kind, others = "sea", ()
        elif not on_land and 1.0 < found[0][0] < 6.0 and polygons[at].area > 0.3 and found[0][1] == names[at]:
            kind, others = "coast", [name for _, name in found[1:]]
        elif on_land and len(found) > 1 and found[1][0] < 3.0:
            kind, others = "border", [name for off, name in found[1:] if off < 3.0]
        elif on_land and len(found) == 1:
            kind, others = "inland", ()
        else:
            continue
        if kinds[kind]:
            kinds[kind] -= 1
            row(kind, "", point, found[0][1] if found else "", others)
    print("kind,name,lat_deg,lon_deg,country,continent,others")
    print("\n".join(out))


if __name__ == "__main__":
    main(*sys.argv[1:])
