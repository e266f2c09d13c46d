"""The same integral by pandas and numpy: native.py LOG prints one line of JSON.

Seconds are those of reading and summing, without the start of Python and the
imports. Charge in Ah, energy in Wh. With --version it prints the versions.
"""
import json
import sys
import time

import numpy
import pandas

if sys.argv[1] == "--version":
    print(f"pandas {pandas.__version__}, numpy {numpy.__version__}")
    sys.exit(0)

begin = time.perf_counter()
log = pandas.read_csv(sys.argv[1])
t, v, i = (log.iloc[:, k].to_numpy() for k in range(3))
p = v * i
dt = numpy.diff(t)
under = (i[1:] > 0) | (i[:-1] > 0)
charge = float(numpy.sum(((i[1:] + i[:-1]) * dt)[under])) / 7200
energy = float(numpy.sum(((p[1:] + p[:-1]) * dt)[under])) / 7200
seconds = time.perf_counter() - begin
print(json.dumps({"ms": seconds * 1000, "rows": len(t), "charge": charge, "energy": energy}))
