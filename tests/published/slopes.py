"""Makes slopes.csv: Theil-Sen slopes from a general-purpose library.

Usage: python slopes.py   (beside the file; needs scipy)

The points are invented: fixed sequences, no random numbers of any library's version. Sets differ in size, scatter,
wild points and equal x. The slope is scipy.stats.theilslopes(y, x).slope: the median of the slopes between each two
points of different x (Sen 1968).

Points are written as x:y with blanks between.
"""

import csv
import math

import scipy
from scipy.stats import theilslopes


def part(number, i):
    """The fractional parts of multiples of irrational numbers are spread evenly."""
    return (math.sqrt(number) * (i + 1)) % 1.0


def points(n, slope, scatter, wild_every, equal_x):
    for i in range(n):
        x = i // 2 if equal_x else i + 0.5 * part(2, i)
        y = slope * x + scatter * (part(5, i) - 0.5)
        if wild_every and i % wild_every == 0:
            y += 400.0
        yield round(x, 3), round(y, 3)


SETS = {
    "two points": (2, -1.5, 0.0, 0, False),
    "even number of slopes": (4, 0.3, 2.0, 0, False),
    "odd number of slopes": (6, 0.3, 2.0, 0, False),
    "no slope": (24, 0.0, 6.0, 0, False),
    "steady drift": (24, 0.8, 3.0, 0, False),
    "wild points": (30, -0.25, 1.0, 6, False),
    "equal x": (20, 0.5, 2.0, 0, True),
    "many": (96, 0.02, 4.0, 9, False),
}

print("scipy", scipy.__version__)
with open("slopes.csv", "w", newline="") as file:
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(["name", "slope", "points"])
    for name, settings in SETS.items():
        xy = list(points(*settings))
        slope = theilslopes([y for _, y in xy], [x for x, _ in xy]).slope
        writer.writerow([name, repr(float(slope)), " ".join(f"{x}:{y}" for x, y in xy)])
