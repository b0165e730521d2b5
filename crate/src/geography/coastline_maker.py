"""Makes coastline.bin from Natural Earth land, as packed for npm. Python 3 standard library only.

    npm pack world-atlas@2.0.2
    python3 coastline_maker.py world-atlas-2.0.2.tgz coastline.bin

What it does, in order: reads land-50m.json (TopoJSON); joins what is cut at the 180th meridian, so that no edge
of the map remains in the coast; leaves out small islands close to larger land; simplifies (Visvalingam's effective
area, on the sphere); rounds to hundredths of a degree; writes differences as variable-length integers.
The form of the file is described in coastline.md.
"""

import hashlib
import heapq
import json
import math
import sys
import tarfile

SHA256 = "032e7765f2ce00edaeafec23ff22bc3b77e42987c257da944cc585b452c05b97"
MEMBER = "package/land-50m.json"
RADIUS_KM = 6371.0088
# A point whose triangle with its neighbours is smaller than this goes.
SMALLEST_TRIANGLE_KM2 = 60.0
# Islands from this size are always kept ...
ALWAYS_KEPT_KM2 = 150.0
# Poleward of this latitude, where coasts are many and listeners few, points are this much fewer, islands larger.
POLAR_DEG, POLAR_FACTOR = 66.0, 5.0
# West, south, east and north of where listeners stand so close that maps of a few hundred km are the rule.
DENSE, DENSE_FACTOR = (-12.0, 35.0, 32.0, 62.0), 0.16
# ... smaller ones only where nothing larger lies this near: a lonely island is somebody's landmark.
LONELY_KM = 90.0
# Ends of a coast cut at the 180th meridian belong together if no farther apart than this.
SAME_END_DEG = 0.01
STEPS_PER_DEGREE = 100


def rings_of(topology):
    """All rings of the land as lists of (longitude, latitude), first point not repeated."""
    (scale_x, scale_y), (move_x, move_y) = topology["transform"]["scale"], topology["transform"]["translate"]
    arcs = []
    for differences in topology["arcs"]:
        x = y = 0
        arc = []
        for dx, dy in differences:
            x, y = x + dx, y + dy
            arc.append((x * scale_x + move_x, y * scale_y + move_y))
        arcs.append(arc)
    for geometry in topology["objects"]["land"]["geometries"]:
        for polygon in geometry["arcs"]:
            for indices in polygon:
                ring = []
                for index in indices:
                    arc = arcs[index] if index >= 0 else arcs[~index][::-1]
                    ring += arc[1:] if ring else arc
                assert ring[0] == ring[-1], "a ring is closed"
                yield ring[:-1]


def on_cut(point):
    return abs(point[0]) > 180 - 1e-9


def without_cut(rings):
    """Joins rings cut at the 180th meridian. Only a few islands of Fiji are still cut in this edition."""
    whole, pieces = [], []
    for ring in rings:
        # The south pole's hole of a degenerate width is an artefact of the cut, not a coast.
        if all(lat < -89.9 for _, lat in ring):
            continue
        seams = [i for i in range(len(ring)) if on_cut(ring[i]) and on_cut(ring[i - 1])]
        if not seams:
            whole.append(ring)
            continue
        turned = ring[seams[0]:] + ring[:seams[0]]
        piece = []
        for at, point in enumerate(turned):
            if at and on_cut(point) and on_cut(turned[at - 1]):
                if len(piece) > 1:
                    pieces.append(piece)
                piece = []
            piece.append(point)
        if len(piece) > 1:
            pieces.append(piece)
    while pieces:
        chain = pieces.pop()
        while True:
            ends = [(abs(p[end][1] - chain[-1][1]), n, end) for n, p in enumerate(pieces) for end in (0, -1)]
            ends.append((abs(chain[0][1] - chain[-1][1]), -1, 0))
            gap, n, end = min(ends)
            assert gap < SAME_END_DEG, "every cut end has its other half"
            if n < 0:
                break
            piece = pieces.pop(n)
            chain += (piece if end == 0 else piece[::-1])[1:]
        whole.append(chain[:-1])
    return whole


def direction(point):
    lon, lat = math.radians(point[0]), math.radians(point[1])
    return (math.cos(lat) * math.cos(lon), math.cos(lat) * math.sin(lon), math.sin(lat))


def triangle_km2(a, b, c):
    """Area of the flat triangle between three directions; near enough for neighbours on a coast."""
    u = [b[i] - a[i] for i in range(3)]
    v = [c[i] - a[i] for i in range(3)]
    cross = (u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0])
    return math.sqrt(sum(n * n for n in cross)) / 2 * RADIUS_KM**2


def coarseness(point):
    lon, lat = point
    west, south, east, north = DENSE
    if abs(lat) > POLAR_DEG:
        return POLAR_FACTOR
    return DENSE_FACTOR if west < lon < east and south < lat < north else 1.0


def ring_km2(ring):
    """Area within a ring, from its longitudes and sines of latitude; exact enough to rank islands."""
    total = 0.0
    for (lon1, lat1), (lon2, lat2) in zip(ring, ring[1:] + ring[:1]):
        step = math.radians((lon2 - lon1 + 540) % 360 - 180)
        total += step * (2 + math.sin(math.radians(lat1)) + math.sin(math.radians(lat2)))
    area = abs(total) / 2 * RADIUS_KM**2
    return min(area, 4 * math.pi * RADIUS_KM**2 - area)


def worth_keeping(rings):
    """Large land, and small islands far from any larger land."""
    kept, cells = [], {}
    size = 2  # degrees of a cell of the search grid
    for ring in sorted(rings, key=ring_km2, reverse=True):
        directions = [direction(p) for p in ring]
        if ring_km2(ring) < ALWAYS_KEPT_KM2 * coarseness(ring[0]):
            lon, lat = ring[0]
            reach = 1 + math.ceil(LONELY_KM / 111 / size / max(0.05, math.cos(math.radians(lat))))
            col, row = int((lon + 180) // size), int((lat + 90) // size)
            around = (
                other
                for c in range(col - reach, col + reach + 1)
                for r in range(row - 2, row + 3)
                for other in cells.get((c % (360 // size), r), ())
            )
            nearest = max((sum(a * b for a, b in zip(directions[0], other)) for other in around), default=-1.0)
            if math.acos(min(1.0, nearest)) * RADIUS_KM < LONELY_KM:
                continue
        kept.append(ring)
        for (lon, lat), d in zip(ring, directions):
            cells.setdefault((int((lon + 180) // size) % (360 // size), int((lat + 90) // size)), []).append(d)
    return kept


def simplified(ring):
    """M. Visvalingam and J. D. Whyatt, 'Line generalisation by repeated elimination of points',
    The Cartographic Journal 30 (1993): the point of the smallest triangle goes first. Four points stay."""
    directions = [direction(p) for p in ring]
    before = [i - 1 for i in range(len(ring))]
    before[0] = len(ring) - 1
    after = [i + 1 for i in range(len(ring))]
    after[-1] = 0

    def worth(i):
        return triangle_km2(directions[before[i]], directions[i], directions[after[i]]) / coarseness(ring[i])

    area = [worth(i) for i in range(len(ring))]
    queue = [(area[i], i) for i in range(len(ring))]
    heapq.heapify(queue)
    gone, left = [False] * len(ring), len(ring)
    while queue and left > 4:
        size, i = heapq.heappop(queue)
        if gone[i] or size != area[i]:
            continue
        if size >= SMALLEST_TRIANGLE_KM2:
            break
        gone[i] = True
        left -= 1
        before[after[i]], after[before[i]] = before[i], after[i]
        for j in (before[i], after[i]):
            # never smaller than the one just taken, so that the order of going stays one of size
            area[j] = max(size, worth(j))
            heapq.heappush(queue, (area[j], j))
    return [ring[i] for i in range(len(ring)) if not gone[i]]


def rounded(ring):
    """Hundredths of a degree, without repeats."""
    turn = 360 * STEPS_PER_DEGREE
    points = []
    for lon, lat in ring:
        x = (round(lon * STEPS_PER_DEGREE) + turn // 2) % turn - turn // 2
        point = (x, round(lat * STEPS_PER_DEGREE))
        if not points or point != points[-1]:
            points.append(point)
    if len(points) > 1 and points[0] == points[-1]:
        points.pop()
    return points


def number(value):
    """A signed integer, small ones first (0, -1, 1, -2, ...), seven bits a byte, low bits first."""
    value = 2 * value if value >= 0 else -2 * value - 1
    out = bytearray()
    while value > 127:
        out.append(value & 127 | 128)
        value >>= 7
    out.append(value)
    return bytes(out)


def written(rings):
    out = bytearray()
    turn = 360 * STEPS_PER_DEGREE
    for ring in rings:
        out += number(len(ring))
        x = y = 0
        for lon, lat in ring:
            step = (lon - x + turn // 2) % turn - turn // 2
            out += number(step) + number(lat - y)
            x, y = lon, lat
    return bytes(out)


def main(source, target):
    with open(source, "rb") as file:
        found = hashlib.sha256(file.read()).hexdigest()
    if found != SHA256:
        sys.exit(f"{source} is not world-atlas 2.0.2: sha256 {found}, expected {SHA256}")
    with tarfile.open(source) as package:
        topology = json.load(package.extractfile(MEMBER))
    rings = without_cut(rings_of(topology))
    kept = [rounded(simplified(ring)) for ring in worth_keeping(rings)]
    kept = [ring for ring in kept if len(ring) > 2]
    data = written(kept)
    with open(target, "wb") as file:
        file.write(data)
    print(f"{len(rings)} rings, {sum(map(len, rings))} points read; "
          f"{len(kept)} rings, {sum(map(len, kept))} points, {len(data)} bytes written, "
          f"sha256 {hashlib.sha256(data).hexdigest()}")


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    main(sys.argv[1], sys.argv[2])
