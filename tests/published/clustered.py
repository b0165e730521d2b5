"""Makes clustered.csv and clustered.json: two-way clustered standard errors from a general-purpose library.

Usage: python clustered.py   (beside the files; needs numpy and statsmodels)

The data are invented: a fixed sequence, no random numbers of any library's version. Each value has a part of its
listener, a part of its block and one of its own, so that both clusterings matter. Data sets differ in how many
listeners and blocks there are, one of them very unevenly filled.

The standard error is that of the constant of a regression on a constant alone,
statsmodels OLS(...).fit(cov_type='cluster', cov_kwds={'groups': two columns}): Cameron, Gelbach and Miller's
V = V(listener) + V(block) - V(both), each with the factor G/(G-1). (The library's further factor
(n-1)/(n-k) is 1 for k = 1.) The one-way errors are fits with one column of groups.
"""

import csv
import json
import math

import numpy
import statsmodels
import statsmodels.api as sm


def values(name, listeners, blocks, n, uneven):
    rows = []
    for i in range(n):
        # the fractional parts of multiples of irrational numbers are spread evenly
        part = lambda x: (x * (i + 1)) % 1.0
        listener = int(part(math.sqrt(2)) ** (3 if uneven else 1) * listeners)
        block = int(part(math.sqrt(3)) * blocks)
        own = 4.0 * part(math.sqrt(5)) - 2.0
        value = 1.3 + 1.1 * math.sin(2.3 * listener) + 0.8 * math.cos(1.7 * block) + own
        rows.append((name, listener, block, round(value, 3)))
    return rows


def error(y, groups):
    fit = sm.OLS(y, numpy.ones(len(y))).fit(cov_type="cluster", cov_kwds={"groups": groups, "use_correction": True})
    return float(fit.params[0]), float(fit.bse[0])


def main():
    sets = [("even", 8, 12, 90, False), ("few", 5, 4, 40, False), ("uneven", 12, 24, 150, True)]
    rows = [row for one in sets for row in values(*one)]
    with open("clustered.csv", "w", newline="") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(["set", "listener", "block", "value_db"])
        writer.writerows(rows)
    cases = []
    for name, *_ in sets:
        own = [row for row in rows if row[0] == name]
        y = numpy.array([row[3] for row in own])
        listener = numpy.array([row[1] for row in own])
        block = numpy.array([row[2] for row in own])
        mean, both = error(y, numpy.column_stack([listener, block]))
        cases.append({
            "set": name,
            "n": len(own),
            "listeners": len(set(listener)),
            "blocks": len(set(block)),
            "mean": mean,
            "error_listener": error(y, listener)[1],
            "error_block": error(y, block)[1],
            "error_two_way": both,
        })
    about = f"statsmodels {statsmodels.__version__}, numpy {numpy.__version__}; made by clustered.py from clustered.csv"
    with open("clustered.json", "w") as out:
        json.dump({"about": about, "cases": cases}, out, indent=1)
        out.write("\n")


main()
