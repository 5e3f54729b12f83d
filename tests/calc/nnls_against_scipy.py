"""400 random problems from a seeded generator: our solver beside scipy.optimize.nnls, and 200 with upper bounds beside
scipy.optimize.lsq_linear (its 'bvls', the same kind of method by other hands).

Usage: nnls_against_scipy.py PROGRAM, which reads problems as tests/calc/nnls_cases.c says.
"""
import math
import random
import subprocess
import sys

import numpy
from scipy.optimize import lsq_linear, nnls

SEED = 1974
PLAIN, BOUNDED = 400, 200


def gaussian(rng, rows, columns):
    return [[rng.gauss(0, 1) for _ in range(columns)] for _ in range(rows)]


def like_a_recipe(rng, rows, columns):
    """Mostly empty, never negative, of sizes six decades apart: elements by salts."""
    scale = [10 ** rng.uniform(-3, 3) for _ in range(columns)]
    return [[scale[j] * rng.random() if rng.random() < 0.3 else 0.0 for j in range(columns)] for _ in range(rows)]


def nearly_dependent(rng, rows, columns):
    a = gaussian(rng, rows, columns)
    for row in a:
        row[-1] = row[0] + 1e-3 * rng.gauss(0, 1)
    return a


def problem(rng, number):
    make = (gaussian, like_a_recipe, nearly_dependent)[number % 3]
    rows = rng.randint(2, 20)
    columns = rng.randint(1, min(rows, 16))
    if number % 10 == 9:  # more unknowns than equations: of many solutions any may be found
        rows, columns = rng.randint(1, 8), rng.randint(9, 16)
    if number % 10 == 4:
        rows, columns = 14, 12
    return make(rng, rows, columns), [rng.gauss(0.5, 1) for _ in range(rows)]


def ours(program, problems):
    words = []
    for a, b, upper in problems:
        words.append(f"{len(a)} {len(a[0])}\n")
        for row in (*a, b, upper):
            words.append(' '.join('inf' if math.isinf(v) else v.hex() for v in row) + '\n')
    run = subprocess.run([program], input=''.join(words), capture_output=True, text=True, check=False)
    if run.returncode:
        sys.exit(f"{program}: {run.stderr}")
    lines = run.stdout.splitlines()
    assert len(lines) == len(problems), (len(lines), len(problems))
    return [[float.fromhex(word) for word in line.split()] for line in lines]


def unique(a):
    return len(a) >= len(a[0]) and numpy.linalg.cond(numpy.array(a)) < 1e6


def main(program):
    rng = random.Random(SEED)
    problems = [(*problem(rng, i), None) for i in range(PLAIN + BOUNDED)]
    for i, (a, b, _) in enumerate(problems):
        upper = [math.inf if i < PLAIN or rng.random() < 0.3 else rng.choice((0.1, 1.0, 10.0)) * rng.random() + 1e-6 for _ in a[0]]
        problems[i] = (a, b, upper)
    worst_x = worst_norm = 0.0
    wrong = compared = 0
    for i, ((a, b, upper), answer) in enumerate(zip(problems, ours(program, problems))):
        x, norm = numpy.array(answer[:-1]), answer[-1]
        matrix, right = numpy.array(a), numpy.array(b)
        if i < PLAIN:
            theirs, their_norm = nnls(matrix, right)
        else:
            # its lengths differ a thousandfold otherwise, and it stops early
            lengths = numpy.where(numpy.linalg.norm(matrix, axis=0) > 0, numpy.linalg.norm(matrix, axis=0), 1.0)
            found = lsq_linear(matrix / lengths, right, (0, numpy.array(upper) * lengths), method='bvls' if unique(a) else 'trf',
                               tol=1e-15, max_iter=10000)
            theirs, their_norm = found.x / lengths, math.sqrt(2 * found.cost)
        length = numpy.linalg.norm(right)
        over = float(max(norm - their_norm, 0.0)) / length
        apart = 0.0
        if unique(a):
            compared += 1
            apart = float(numpy.max(numpy.abs(x - theirs) * numpy.linalg.norm(matrix, axis=0))) / length
        worst_x, worst_norm = max(worst_x, apart), max(worst_norm, over)
        inside = (x >= 0).all() and (x <= numpy.array(upper)).all()
        if not inside or over > 1e-9 or apart > 1e-7:
            wrong += 1
            print(f"problem {i} of seed {SEED} ({len(a)} x {len(a[0])}): apart {apart:.3g}, norm over {over:.3g}, inside {inside}")
    print(f"{PLAIN} problems beside nnls, {BOUNDED} beside lsq_linear, {compared} with one solution: worst difference {worst_x:.2g} "
          f"of |b|, worst norm {worst_norm:.2g} above theirs")
    print(f"{PLAIN + BOUNDED - wrong} passed, {wrong} failed")
    return 1 if wrong else 0


sys.exit(main(sys.argv[1]))
