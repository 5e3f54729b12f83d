"""The compiled part of scipy's nnls on problems of 14 x 12 from a file: prints the median microseconds of a call, and of
a call with a problem of 1 x 1, which is nearly all wrapper.
"""
import statistics
import sys
import time

import numpy
from scipy.optimize import _nnls

compiled = getattr(_nnls, '__nnls').nnls


def call(a, b):
    rows, columns = a.shape
    # As scipy.optimize.nnls calls it; the work space is made beforehand.
    work = numpy.zeros(columns), numpy.zeros(rows), numpy.zeros(columns, dtype=int)
    return lambda: compiled(a, rows, columns, b, *work, -1)


def median_us(calls, rounds=41):
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        for each in calls:
            each()
        times.append((time.perf_counter() - start) / len(calls) * 1e6)
    return statistics.median(times)


problems = []
with open(sys.argv[1], encoding='ascii') as lines:
    for line in lines:
        numbers = numpy.array([float(word) for word in line.split()])
        problems.append(call(numpy.asfortranarray(numbers[:14 * 12].reshape(14, 12)), numbers[14 * 12:]))
one = call(numpy.array([[1.0]], order='F'), numpy.array([1.0]))
print(median_us(problems), median_us([one] * len(problems)))
