"""The bare draws and arithmetic of the distances, in NumPy: what the reckoning's Monte Carlo is measured against.

JSON comes in on standard input: for each corner the disc's and the pads' quantities as [value, uncertainty], the rules in
kilometres, the spread, and the number of draws. CPU seconds go out; what lies before the draws is not counted.
"""

import json
import sys
import time

import numpy as np

asked = json.load(sys.stdin)
count, spread = asked["draws"], asked["spread"]
start = time.process_time()
generator = np.random.default_rng(1)
luck = {part: np.exp(spread * generator.standard_normal(count)) for part in ("disc", "pads")}
points = []
for corner in asked["corners"]:
    drawn = {}
    for part, bases in (("disc", asked["disc_km"]), ("pads", asked["pads_km"])):
        left = [np.full(count, 1e6) for _ in bases]
        for value, uncertainty in corner[part]:
            for place, (km, is_exact) in enumerate(bases):
                # Each basis draws on its own, as the reckoning does.
                open_share = np.maximum(1.0 - (value + uncertainty * generator.standard_normal(count)), 0.0)
                whole = open_share * km if is_exact else open_share * km * luck[part]
                np.minimum(left[place], whole, out=left[place])
        drawn[part] = left
        points += [np.percentile(one, [5, 25, 50, 75, 95]) for one in left]
    points.append([np.mean(disc > drawn["pads"][0]) for disc in drawn["disc"]])
print(time.process_time() - start)
