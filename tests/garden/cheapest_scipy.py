"""Solves the same linear programmes with scipy's linprog (HiGHS) and compares cost and least tolerance.

A problem is one line: salts n, elements m, n prices, then for each element target, share, water, n coefficients, then what we found:
feasible, cost, nearest (in per cent), tolerance asked for (per cent).
"""
import math
import sys

from scipy.optimize import linprog

problems = feasible = 0
for line in open(sys.argv[1]):
    numbers = iter(map(float, line.split()))
    n, m = int(next(numbers)), int(next(numbers))
    price = [next(numbers) for _ in range(n)]
    upper, bound, seek, seek_bound = [], [], [], []
    for _ in range(m):
        target, share, water = (next(numbers) for _ in range(3))
        row = [next(numbers) for _ in range(n)]
        upper += [row, [-x for x in row]]
        bound += [target * (1 + share) - water, -(target * (1 - share) - water)]
        seek += [row + [-share * target], [-x for x in row] + [-share * target]]
        seek_bound += [target - water, -(target - water)]
    ours_feasible, ours_cost, ours_nearest, tolerance = (next(numbers) for _ in range(4))
    theirs = linprog(price, upper, bound, method="highs")
    nearest = linprog([0] * n + [1], seek, seek_bound, method="highs")
    problems += 1
    feasible += theirs.status == 0
    assert theirs.status in (0, 2), theirs.message
    assert (theirs.status == 0) == bool(ours_feasible), f"problem {problems}: feasible {theirs.status == 0}, not {bool(ours_feasible)}"
    assert theirs.status != 0 or math.isclose(theirs.fun, ours_cost, rel_tol=1e-6, abs_tol=1e-9), f"problem {problems}: {theirs.fun}, not {ours_cost}"
    assert nearest.status == 0 and math.isclose(nearest.fun * tolerance, ours_nearest, rel_tol=1e-6, abs_tol=1e-6), \
        f"problem {problems}: nearest {nearest.fun * tolerance}, not {ours_nearest}"
assert problems >= 200 and 20 <= feasible <= problems - 20, f"{problems} problems, {feasible} feasible: too few, or all alike"
print(f"{problems} problems, {feasible} feasible")
