"""Rails, walls, missing ties and unzipping against plainer ways to the same numbers.

"Error" is the largest difference over the largest value. The line on a general frame package needs
`pip install PyNiteFEA`.
"""

import numpy as np
from ratios import extra, ratio, row
from scipy.linalg.lapack import dpbtrf, dpbtrs
from scipy.sparse import coo_array
from scipy.sparse.linalg import spsolve

from formpressure.statics.grillage import Wall, assembled, unknowns
from formpressure.statics.load import LineLoad, nodal_forces
from formpressure.statics.missing import remove_each
from formpressure.statics.pull import let_go
from formpressure.statics.rail import Rail, beam_stiffness, solve_rail
from formpressure.statics.rails import REACH, _eliminate, solve_rails
from formpressure.statics.unzip import run_unzipping
from formpressure.statics.wall import solve_wall, wall_afresh, wall_response

LINES, TIES = 150, 6
HEIGHTS = np.array([1.0, 2.5, 4.0, 5.5, 7.0, 8.5])
TOP, WIDTH, EI, SPRING = 10.0, 2.0, 1.0e5, 2.0e5
LOAD = LineLoad([0.0, 6.0, TOP], WIDTH * np.array([600.0, 600.0, 0.0]))  # capped 4 down
STARTS, SOME = 100, 2


def differ(found, wanted):
    return float(np.abs(found - wanted).max() / np.abs(wanted).max())


def package_rail():
    """The rail of `one_rail` in a general frame package; None where it is not installed."""
    try:
        from Pynite import FEModel3D
    except ImportError:
        return None
    nodes = np.concatenate([[0.0], HEIGHTS, [TOP]])
    nodes = np.union1d(nodes, LOAD.y)
    values = np.interp(nodes, LOAD.y, LOAD.p)
    model = FEModel3D()
    model.add_material("m", 1.0, 1.0, 0.3, 0.0)
    model.add_section("s", 1e6, EI, EI, EI)
    for i, at in enumerate(nodes):
        model.add_node(f"N{i}", at, 0.0, 0.0)
        model.def_support(f"N{i}", i == 0, False, True, True, True, False)
        if at in HEIGHTS:
            model.def_support_spring(f"N{i}", "DY", SPRING)
    for i in range(len(nodes) - 1):
        model.add_member(f"M{i}", f"N{i}", f"N{i + 1}", "m", "s")
        model.add_member_dist_load(f"M{i}", "FY", values[i], values[i + 1])
    model.analyze_linear(check_stability=False)
    combo = next(iter(model.load_combos))
    return SPRING * np.array(
        [model.nodes[f"N{i}"].DY[combo] for i, at in enumerate(nodes) if at in HEIGHTS]
    )


def one_rail():
    return solve_rail(Rail(0.0, TOP, HEIGHTS, EI, SPRING), LOAD).tie_force


def measure_one_rail():
    name, package = "one rail / a general frame package", package_rail()
    if package is None:
        row(name, None, 0.2, cost="Install it: python -m pip install PyNiteFEA")
    else:
        row(name, ratio(one_rail, package_rail, 15), 0.2, memory=extra(one_rail))
        row("    error", differ(one_rail(), package), 1e-10)


def measure_many_rails():
    rng = np.random.default_rng(5)
    count = 10_000
    heights = np.cumsum(rng.uniform(1.0, 2.0, (count, TIES)), axis=1)
    top = heights[:, -1] + rng.uniform(0.3, 1.0, count)
    stiff, springs = rng.uniform(1e5, 3e5, count), rng.uniform(1e5, 3e5, (count, TIES))
    nothing = np.zeros(count)
    load = LineLoad(np.stack([nothing, top], -1), np.stack([150.0 * top, nothing], -1))

    def ours():
        return solve_rails(0.0, top, heights, stiff, springs, load).tie_force

    def dense():
        nodes = np.concatenate([nothing[:, None], heights, top[:, None]], axis=1)
        size = 2 * nodes.shape[1]
        elements = stiff[:, None, None, None] * beam_stiffness(np.diff(nodes))
        matrix = np.zeros((count, size, size))
        for i in range(TIES + 1):
            matrix[:, 2 * i : 2 * i + 4, 2 * i : 2 * i + 4] += elements[:, i]
        tie = 2 * np.arange(1, TIES + 1)
        matrix[:, tie, tie] += springs
        right = nodal_forces(load, nodes).reshape(count, size, 1)
        return springs * np.linalg.solve(matrix, right)[:, tie, 0]

    row("10,000 rails from heights to pulls / batched dense", ratio(ours, dense, 15), 0.3,
        memory=extra(ours),
        cost="The elimination alone meets it. The rest of the time goes into loads of any shape "
        "integrated exactly, rails scaled each to units of its own, and ties that pull only: "
        "nearly all of that would have to go.")  # fmt: skip
    same = (dense() > 0.0).all(axis=1)  # the dense side lets ties push
    print(f"  ours pull only; in {same.sum()} of {count} no tie would push: these are compared")
    row("    error", differ(ours()[same], dense()[same]), 1e-10)

    size = 2 * TIES + 4
    matrix = rng.random((count, size, size)) / size + 2.0 * np.eye(size)
    apart = np.subtract.outer(np.arange(size), np.arange(size))
    matrix *= np.abs(apart) <= REACH
    right = rng.random((count, size))
    band = np.zeros((size, 2 * REACH + 1, count))
    for d in range(-REACH, REACH + 1):
        rows = np.arange(max(0, -d), min(size, size - d))
        band[rows, REACH + d] = matrix[:, rows, rows + d].T

    def eliminate():
        answer = right.T.copy()
        _eliminate(band.copy(), answer)
        return answer.T

    def solve():
        return np.linalg.solve(matrix, right[..., None])[..., 0]

    row("    of that the elimination alone / numpy's dense solve alone",
        ratio(eliminate, solve, 15), 0.3, memory=extra(eliminate))  # fmt: skip
    row("    error", differ(eliminate(), solve()), 1e-10)


def wall():
    """The wall from its numbers: wales at every tie and at both ends, 3,600 unknowns."""
    wales = np.concatenate([[0.0], HEIGHTS, [TOP]])
    lines = WIDTH * np.arange(LINES)
    return Wall(0.0, TOP, lines, HEIGHTS, EI, SPRING, wales, 3.0e5)


def plain_solver(whole):
    """Factor and solve with LAPACK alone: from the band without `gone` ties to tie forces."""
    at = unknowns(whole)
    forces = nodal_forces(LOAD, whole.nodes)
    right = np.zeros((LINES, at.size))
    right[:, at.deflection], right[:, at.slope] = forces[:, 0], forces[:, 1]
    band = assembled(whole, whole.stiffness > 0.0)
    places = np.arange(LINES)[:, None] * at.size + at.tie

    def solve(gone):
        left = band.copy()
        left[:, at.tie, 0] -= whole.stiffness * gone
        lower, _ = dpbtrf(left.reshape(-1, left.shape[-1]).T, lower=1, overwrite_ab=1)
        moved, _ = dpbtrs(lower, right.reshape(-1, 1), lower=1)
        return whole.stiffness * ~gone * moved[places, 0]

    return solve


def element_by_element(forces):
    """Deflections (lines, nodes) of the same wall put together one member at a time, sparse."""
    nodes = np.concatenate([[0.0], HEIGHTS, [TOP]])
    count = len(nodes)
    rows, columns, values = [], [], []

    def put(places, matrix):
        for i, a in enumerate(places):
            for j, b in enumerate(places):
                rows.append(a), columns.append(b), values.append(matrix[i][j])

    def member(h, bending):
        a, b, c = 12.0 / h**3, 6.0 / h**2, 2.0 / h
        rows = [[a, b, -a, b], [b, 2 * c, -b, c], [-a, -b, a, -b], [b, c, -b, 2 * c]]
        return bending * np.array(rows)

    for line in range(LINES):
        for i in range(count):
            here, above, beside = (3 * (line * count + i + step) for step in (0, 1, count))
            if i + 1 < count:
                rail = member(nodes[i + 1] - nodes[i], EI)
                put([here, here + 1, above, above + 1], rail)
            if line + 1 < LINES:
                put([here, here + 2, beside, beside + 2], member(WIDTH, 3.0e5))
            if nodes[i] in HEIGHTS:
                put([here], [[SPRING]])
    matrix = coo_array((values, (rows, columns))).tocsc()
    right = np.zeros((LINES, count, 3))
    right[:, :, :2] = forces
    return spsolve(matrix, right.ravel()).reshape(LINES, count, 3)[:, :, 0]


def measure_wall():
    whole = wall()
    at = unknowns(whole)
    band = assembled(whole, whole.stiffness > 0.0).reshape(-1, at.reach + 1).T
    right = np.zeros((LINES, at.size))
    forces = nodal_forces(LOAD, whole.nodes)
    right[:, at.deflection], right[:, at.slope] = forces[:, 0], forces[:, 1]
    column = np.asfortranarray(right.reshape(-1, 1))

    def lapack():
        lower, _ = dpbtrf(band, lower=1)
        return dpbtrs(lower, column, lower=1)[0]

    def ours():
        return solve_wall(wall(), LOAD)

    print(f"  {column.size} unknowns, half-bandwidth {at.reach}")
    row(f"wall of {LINES} x {TIES} ties from nothing / LAPACK factor and solve",
        ratio(ours, lapack, 51), 3.0, memory=extra(ours))  # fmt: skip
    row("    error", differ(ours().deflection, element_by_element(forces)), 1e-9)


def measure_removals():
    whole = wall()
    solve = plain_solver(whole)
    cases = np.eye(LINES * TIES, dtype=bool).reshape(-1, LINES, TIES)

    def ours():
        return remove_each(wall_response(whole, LOAD)).after

    def each():
        return np.array([solve(gone).ravel() for gone in cases])

    row(f"all {LINES * TIES} single ties missing / as many factorisations",
        ratio(ours, each, 5), 0.04, memory=extra(ours))  # fmt: skip
    row("    error", differ(ours(), each()), 1e-9)


def unzip(start, breaking, anew):
    """Rounds by any solver that gives forces, or None where it stops: the ties gone at the end."""
    gone, rounds = start, 1
    while (force := anew(gone)) is not None and (breaks := force > breaking).any():
        gone, rounds = gone | breaks, rounds + 1
    return gone, rounds


def measure_unzipping():
    """Ties of drawn strength, a little above what they normally carry.

    First the rounds until none breaks or a tie comes to push, where factoring anew is all that the
    plain way needs. Then whole runs, against solving anew each round with ties that only pull.
    """
    rng = np.random.default_rng(11)
    whole = wall()
    solve = plain_solver(whole)
    normal = solve(np.zeros((LINES, TIES), bool)).ravel()
    breaking = normal * rng.uniform(1.02, 1.4, normal.shape)
    starts = [np.arange(LINES * TIES) == tie for tie in rng.choice(LINES * TIES, STARTS, False)]

    def by_update():
        response = wall_response(whole, LOAD)

        def anew(gone):
            found = let_go(response, gone)
            return None if found is None else found.force

        return [unzip(start, breaking, anew) for start in starts]

    def by_factoring():
        def anew(gone):
            force = solve(gone.reshape(LINES, TIES)).ravel()
            return None if (force < 0.0).any() else force

        return [unzip(start, breaking, anew) for start in starts]

    def whole_runs():
        response = wall_response(whole, LOAD)
        runs = [run_unzipping(response, breaking, s, wall_afresh(whole, LOAD)) for s in few]
        return [(run.gone[-1], len(run.gone)) for run in runs]

    def solved_anew():
        def anew(gone):
            return solve_wall(whole, LOAD, gone.reshape(LINES, TIES)).tie_force.ravel()

        return [unzip(start, breaking, anew) for start in few]

    def compare(name, ours, other, runs, **told):
        found, wanted = ours(), other()
        differing = sum((a != b).any() for (a, _), (b, _) in zip(found, wanted, strict=True))
        lost, rounds = [int(gone.sum()) for gone, _ in found], sum(n for _, n in found)
        print(f"  {len(found)} starts, {rounds} rounds, {min(lost)} to {max(lost)} ties lost")
        row(name, ratio(ours, other, runs), 0.3, **told)
        row("    starts that end with other ties lost", float(differing), 0.0)

    few = starts[:SOME]
    compare("unzipping until a tie would push / factoring anew", by_update, by_factoring, 7,
            memory=extra(by_update))  # fmt: skip
    compare("unzipping to the end / solving anew, pull-only", whole_runs, solved_anew, 1,
            cost="Past the first rounds other ties go slack as well, and then both sides solve the "
            "wall anew: it would take another method for a wall that is nearly gone.")  # fmt: skip


def main():
    measure_one_rail()
    measure_many_rails()
    measure_wall()
    measure_removals()
    measure_unzipping()


if __name__ == "__main__":
    main()
