"""Times a columnar library's typed read of an invented file: the same columns as the core keeps, in one frame.

Its start and its import are not counted, and one read beforehand warms it up.
How many threads it has is said by POLARS_MAX_THREADS before this begins.

typed_read.py FILE ROUNDS prints {"version", "rows", "ms"}, ms being the median.
"""

import json
import statistics
import sys
import time

import polars

file, rounds = sys.argv[1], int(sys.argv[2])

KINDS = {
    "time": polars.String,
    "tx call": polars.Categorical,
    "tx grid": polars.Categorical,
    "rx call": polars.Categorical,
    "rx grid": polars.Categorical,
    "frequency (MHz)": polars.Float64,
    "SNR": polars.Float32,
    "drift": polars.Float32,
    "power (dBm)": polars.Float32,
}


# The quickest of what was tried for it: whole reads took longer, and so did a time among the kinds.
PLAN = polars.scan_csv(file, schema=KINDS).with_columns(
    polars.col("time").str.to_datetime("%Y-%m-%dT%H:%M:%SZ", time_unit="ms").dt.epoch("s").cast(polars.UInt32)
)


def timed():
    start = time.perf_counter()
    frame = PLAN.collect(engine="streaming")
    ms = 1000 * (time.perf_counter() - start)
    if sum(frame.null_count().row(0)):
        sys.exit("some cells were not read as what they are")
    return ms, frame.height


rows = timed()[1]
times = [timed()[0] for _ in range(rounds)]
print(json.dumps({"version": polars.__version__, "rows": rows, "ms": statistics.median(times)}))
