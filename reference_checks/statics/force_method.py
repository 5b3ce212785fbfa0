"""A rail on ties by the force method: another road to the same answer, sharing no code.

A free beam is bent by the line load and by the pulls F_i of its ties. A unit force at s bends an
endless beam by -|y - s|^3 / (12 EI) outward, up to a straight line (EI w'''' = load, Green's
function of the beam), so

    EI w(y) = a + b y + int p(s) |y-s|^3 / 12 ds - sum F_i |y-y_i|^3 / 12,

with sum F_i = W and sum F_i y_i = M for balance of forces and moments, and
w(y_i) = gap_i + F_i / k_i at every tie that pulls. A hinge at the base is one more such support, of
either sign. Which ties pull is found by trying every set: the answer is the one whose pulls are
above zero and whose slack ties are not reached. Source: statics.
"""

from itertools import pairwise, product

import numpy as np

PLACES, WEIGHTS = np.polynomial.legendre.leggauss(4)  # exact to degree 7; |y-s|^3 p(s) has 4


def integral(y, p, f, splits):
    """Integral of the piecewise linear load times f, smooth between the `splits`."""
    cuts = np.unique(np.concatenate([y, splits]))
    total = 0.0
    for (y0, p0), (y1, p1) in pairwise(zip(y, p, strict=True)):
        inside = cuts[(cuts >= y0) & (cuts <= y1)]
        for a, b in pairwise(inside):
            s = (a + b) / 2 + (b - a) / 2 * PLACES
            total += (b - a) / 2 * WEIGHTS @ ((p0 + (p1 - p0) * (s - y0) / (y1 - y0)) * f(s))
    return total


def bent_by_load(y, p, at):
    """12 times the first integral above, at one height."""
    return integral(y, p, lambda s: np.abs(at - s) ** 3, [at])


def solve(supports, compliance, gap, EI, y, p):
    """Pulls of these supports, all acting, and (a, b) of the straight line; None if they cannot."""
    n = len(supports)
    if n < 2:
        return None
    matrix, right = np.zeros((n + 2, n + 2)), np.zeros(n + 2)
    for i, at in enumerate(supports):
        matrix[i, :n] = -(np.abs(at - supports) ** 3) / 12 / EI
        matrix[i, i] -= compliance[i]
        matrix[i, n:] = 1.0, at
        right[i] = gap[i] - bent_by_load(y, p, at) / 12 / EI
    matrix[n, :n], right[n] = 1.0, integral(y, p, np.ones_like, [])
    matrix[n + 1, :n], right[n + 1] = supports, integral(y, p, lambda s: s, [])
    answer = np.linalg.solve(matrix, right)
    return answer[:n], answer[n:]


def deflection(pulls, supports, line, EI, y, p, at):
    """Outward deflection at one height."""
    bent = bent_by_load(y, p, at) - pulls @ np.abs(at - supports) ** 3
    return line[0] + line[1] * at + bent / 12 / EI


def pull_only(heights, stiffness, gap, EI, y, p, base=0.0, bottom=0.0, gone=()):
    """Every consistent state, as (tie forces, base force, deflection function); see above."""
    heights, states = np.asarray(heights, float), []
    for pulling in product([True, False], repeat=len(heights)):
        taut = np.array(pulling)
        if taut[list(gone)].any():
            continue
        at, compliance, loose = heights[taut], 1.0 / stiffness[taut], gap[taut]
        if base > 0:
            at, compliance = np.append(at, bottom), np.append(compliance, 1.0 / base)
            loose = np.append(loose, 0.0)
        found = solve(at, compliance, loose, EI, y, p)
        if found is None:
            continue
        pulls, line = found

        def w(place, pulls=pulls, at=at, line=line):
            return deflection(pulls, at, line, EI, y, p, place)

        force = np.zeros(len(heights))
        force[taut] = pulls[: taut.sum()]
        watched = [i for i in np.flatnonzero(~taut) if i not in gone]
        noise = 1e-9 * np.abs(pulls).max()
        size = np.abs([w(place) for place in heights]).max()
        if (force >= -noise).all() and all(w(heights[i]) <= gap[i] + 1e-9 * size for i in watched):
            states.append((force, pulls[-1] if base > 0 else 0.0, w))
    return states
