"""Solves the same placings with scipy's milp (HiGHS) and compares how many plants can be placed.

The programme is written anew here, day by day: the level of each evening stands in a row of its own. A problem is one line:
days, topup_days, batches, tanks; per batch plant, harvest (days from 0), wanted and what one plant drinks each of its days; per tank
usable, water, topup, then free cups of each day and what others drink each day; last what we found: total, bound.
"""
import sys

import numpy
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix

problems = short = gaps = by_water = 0
for line in open(sys.argv[1]):
    numbers = iter(map(float, line.split()))
    days, rhythm, batches, tanks = (int(next(numbers)) for _ in range(4))
    batch = []
    for _ in range(batches):
        plant, harvest, wanted = (int(next(numbers)) for _ in range(3))
        batch.append((plant, harvest, wanted, [next(numbers) for _ in range(harvest - plant)]))
    tank = []
    for _ in range(tanks):
        usable, water, topup = (next(numbers) for _ in range(3))
        tank.append((usable, water, topup, [next(numbers) for _ in range(days)], [next(numbers) for _ in range(days)]))
    total, bound = int(next(numbers)), int(next(numbers))

    plants = batches * tanks
    count = plants + 2 * days * tanks  # plants; then of each tank and day the evening's level and what was poured that morning
    level = lambda t, d: plants + 2 * (t * days + d)
    rows, columns, values, low, high = [], [], [], [], []

    def row(terms, least, most):
        for at, value in terms:
            rows.append(len(low)); columns.append(at); values.append(value)
        low.append(least); high.append(most)

    upper = numpy.full(count, numpy.inf)
    for b, (_, _, wanted, _) in enumerate(batch):
        row([(b * tanks + t, 1) for t in range(tanks)], -numpy.inf, wanted)
        upper[b * tanks:(b + 1) * tanks] = wanted
    for t, (usable, water, topup, free, others) in enumerate(tank):
        for d in range(days):
            here = [(b, one) for b, one in enumerate(batch) if one[0] <= d < one[1]]
            row([(b * tanks + t, 1) for b, _ in here], -numpy.inf, free[d])
            if not rhythm:
                continue
            drunk = [(b * tanks + t, one[3][d - one[0]]) for b, one in here]
            upper[level(t, d) + 1] = topup if d and d % rhythm == 0 else 0
            before = [(level(t, d - 1), -1)] if d else []
            row([(level(t, d), 1), (level(t, d) + 1, -1)] + before + drunk, (0 if d else water) - others[d], (0 if d else water) - others[d])
            if d:  # after the pouring no higher than the start
                row([(level(t, d - 1), 1), (level(t, d) + 1, 1)], -numpy.inf, usable)
    cost = numpy.zeros(count)
    cost[:plants] = -1
    whole = numpy.zeros(count)
    whole[:plants] = 1
    matrix = coo_matrix((values, (rows, columns)), shape=(len(low), count)).tocsr()
    theirs = milp(cost, constraints=LinearConstraint(matrix, low, high), bounds=Bounds(0, upper), integrality=whole)
    assert theirs.status == 0, f"problem {problems + 1}: {theirs.message}"
    best = round(-theirs.fun)
    problems += 1
    short += best < sum(one[2] for one in batch)
    gaps += total < bound
    assert total <= best <= bound, f"problem {problems}: {best} plants, not {total} to {bound}"
    assert total == bound or total >= 0.9 * best, f"problem {problems}: only {total} of {best}"
assert problems >= 200 and 40 <= short <= problems - 40, f"{problems} problems, {short} too large: too few, or all alike"
assert gaps <= problems // 10, f"{gaps} of {problems} with a gap"
print(f"{problems} problems, {short} too large for their tanks, {gaps} with a stated gap")
