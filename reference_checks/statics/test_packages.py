"""Rails and a small grillage against two general-purpose frame packages from PyPI.

PyNiteFEA 3.2.0 (three-dimensional frames) and anastruct 1.7.0 (plane frames); the largest
differences found are printed by `pytest -s`. They are no dependency of the project: a test is
skipped, with the package's name, where it is not installed. To run them:

    pip install PyNiteFEA==3.2.0 anastruct==1.7.0
    pytest -m packages -s reference_checks/statics

The packages take springs but no exactly rigid spring, and the grillage's members have a hundred
millionth of their bending stiffness against twisting, since the packages want some.
"""

from itertools import pairwise

import numpy as np
import pytest

from formpressure.statics.grillage import Wall
from formpressure.statics.load import LineLoad
from formpressure.statics.rail import Rail, solve_rail
from formpressure.statics.wall import solve_wall

pytestmark = [pytest.mark.packages, pytest.mark.filterwarnings("default")]

EI = 2.4e5
HEIGHTS = np.array([1.0, 2.5, 4.5, 6.0, 7.5])
SPRINGS = np.array([4.0e5, 1.0e5, 2.5e5, 6.0e4, 3.0e5])
TOP = 9.0
LOADS = {  # heights and load per length; the first peaks at the foot, the last only over the middle
    "liquid": ([0.0, 9.0], [1350.0, 0.0]),
    "capped": ([0.0, 5.0, 9.0], [600.0, 600.0, 0.0]),
    "part filled": ([0.0, 5.5], [825.0, 0.0]),
}


def pynite():
    return pytest.importorskip("Pynite", reason="PyNiteFEA is not installed").FEModel3D


def anastruct():
    return pytest.importorskip("anastruct", reason="anastruct is not installed").SystemElements


def pieces(nodes, y, p):
    """The load's end values on each element; the nodes include the load's own points."""
    nodes = np.asarray(nodes)
    values = np.interp(nodes, y, p, left=0.0, right=0.0)
    return list(pairwise(values))


def cuts(*places):
    return np.unique(np.concatenate([[0.0, TOP], *places]))


def pynite_rail(y, p, one_way=False):
    """Tie forces and deflections at the ties."""
    nodes = cuts(HEIGHTS, y)
    model = pynite()()
    model.add_material("m", 1.0, 1.0, 0.3, 0.0)
    model.add_section("s", 1e6, EI, EI, EI)
    for i, at in enumerate(nodes):
        model.add_node(f"N{i}", at, 0.0, 0.0)
        model.def_support(f"N{i}", i == 0, False, True, True, True, False)
    for at, k in zip(HEIGHTS, SPRINGS, strict=True):
        name = f"N{np.flatnonzero(nodes == at)[0]}"
        model.def_support_spring(name, "DY", k, "+" if one_way else None)
    for i, (p0, p1) in enumerate(pieces(nodes, y, p)):
        model.add_member(f"M{i}", f"N{i}", f"N{i + 1}", "m", "s")
        model.add_member_dist_load(f"M{i}", "FY", p0, p1)
    model.analyze(check_stability=False)
    combo = next(iter(model.load_combos))
    at_tie = [f"N{np.flatnonzero(nodes == at)[0]}" for at in HEIGHTS]
    moved = np.array([model.nodes[name].DY[combo] for name in at_tie])
    moments = [
        max(
            abs(model.members[f"M{i}"].max_moment("Mz")),
            abs(model.members[f"M{i}"].min_moment("Mz")),
        )
        for i in range(len(nodes) - 1)
    ]
    pull = np.maximum(SPRINGS * moved, 0.0) if one_way else SPRINGS * moved
    return pull, moved, max(moments)


def anastruct_rail(y, p):
    nodes = cuts(HEIGHTS, y)
    system = anastruct()(EI=EI, EA=1e9)
    for a, b in pairwise(nodes):
        system.add_element(location=[[a, 0.0], [b, 0.0]])
    for at, k in zip(HEIGHTS, SPRINGS, strict=True):
        system.add_support_spring(system.find_node_id([at, 0.0]), translation=2, k=k)
    system.add_support_roll(system.find_node_id([0.0, 0.0]), direction="y")
    for i, (p0, p1) in enumerate(pieces(nodes, y, p)):
        if p0 or p1:
            system.q_load(q=[p0, p1], element_id=i + 1)
    system.solve()
    ids = [system.find_node_id([at, 0.0]) for at in HEIGHTS]
    moved = np.array([system.get_node_displacements(i)["uy"] for i in ids])
    return SPRINGS * moved, moved


def differ(name, found, wanted):
    """Largest difference over the largest value; printed, since it is what the check is for."""
    error = np.abs(np.asarray(found) - wanted).max() / np.abs(wanted).max()
    print(f"{name}: {error:.1e}")
    return error


@pytest.mark.parametrize("load", ["liquid", "capped"])
def test_rail_pynite(load):
    y, p = LOADS[load]
    pull, moved, moment = pynite_rail(y, p)
    ours = solve_rail(Rail(0.0, TOP, HEIGHTS, EI, SPRINGS), LineLoad(y, p))
    assert not ours.slack.any()
    assert differ(f"PyNite, {load}, tie forces", ours.tie_force, pull) < 1e-9
    assert differ(f"PyNite, {load}, deflections", ours.deflection[1:-1], moved) < 1e-9
    assert differ(f"PyNite, {load}, moment", abs(ours.sections().peak_moment), moment) < 1e-9


def test_pull_only_pynite():
    """The upper ties would have to push: both leave them out, by different ways of looking."""
    y, p = LOADS["part filled"]
    pull, moved, _ = pynite_rail(y, p, one_way=True)
    ours = solve_rail(Rail(0.0, TOP, HEIGHTS, EI, SPRINGS), LineLoad(y, p))
    assert ours.slack.tolist() == [False, False, False, True, True]
    assert differ("PyNite, part filled, tie forces", ours.tie_force, pull) < 1e-9
    assert differ("PyNite, part filled, deflections", ours.deflection[1:-1], moved) < 1e-9


@pytest.mark.parametrize("load", ["liquid", "capped"])
def test_rail_anastruct(load):
    y, p = LOADS[load]
    pull, moved = anastruct_rail(y, p)
    ours = solve_rail(Rail(0.0, TOP, HEIGHTS, EI, SPRINGS), LineLoad(y, p))
    # its deflection of a simple beam is itself 1e-7 from 5 w L^4 / 384 EI
    assert differ(f"anastruct, {load}, tie forces", ours.tie_force, pull) < 1e-7
    assert differ(f"anastruct, {load}, deflections", ours.deflection[1:-1], moved) < 1e-7


LINES = np.array([0.0, 2.0, 3.5, 6.0])
WALES = np.array([1.0, 4.5, 7.0])
EI_WALES = np.array([[2e5, 1e5, 3e5], [1e5, 2e5, 2e5], [4e5, 1e5, 1e5]])
WIDTHS = np.array([1.0, 1.75, 2.0, 1.25])


def pynite_grillage(springs, y, p):
    """Deflections at the ties (lines, ties) and along one wale, rails' and wales' end moments."""
    nodes = cuts(HEIGHTS, WALES, y)
    model = pynite()()
    model.add_material("m", 1.0, 1.0, 0.3, 0.0)
    for name, stiffness in [("rail", EI), *((f"w{v:g}", v) for v in np.unique(EI_WALES))]:
        model.add_section(name, 1e6, stiffness, stiffness, stiffness * 1e-8)
    for line, x in enumerate(LINES):
        for i, at in enumerate(nodes):
            model.add_node(f"N{line}_{i}", x, at, 0.0)
            model.def_support(f"N{line}_{i}", True, True, False, False, False, True)
        for at, k in zip(HEIGHTS, springs[line], strict=True):
            if k:
                name = f"N{line}_{np.flatnonzero(nodes == at)[0]}"
                model.def_support_spring(name, "DZ", k, "+")
        for i, (p0, p1) in enumerate(pieces(nodes, y, p)):
            name = f"R{line}_{i}"
            model.add_member(name, f"N{line}_{i}", f"N{line}_{i + 1}", "m", "rail")
            model.add_member_dist_load(name, "FZ", p0 * WIDTHS[line], p1 * WIDTHS[line])
    for bay in range(3):
        for wale, at in enumerate(WALES):
            i = np.flatnonzero(nodes == at)[0]
            section = f"w{EI_WALES[bay, wale]:g}"
            name = f"W{bay}_{wale}"
            model.add_member(name, f"N{bay}_{i}", f"N{bay + 1}_{i}", "m", section)
    model.analyze(check_stability=False)
    combo = next(iter(model.load_combos))

    def moved(heights):
        rows = [np.flatnonzero(nodes == at)[0] for at in heights]
        return np.array([[model.nodes[f"N{n}_{i}"].DZ[combo] for i in rows] for n in range(4)])

    moments = np.array(
        [
            [model.members[f"W{bay}_{w}"].moment_array("My", 2)[1] for w in range(3)]
            for bay in range(3)
        ]
    )
    return moved(HEIGHTS), moved(WALES), moments


@pytest.mark.parametrize("case", ["all ties", "two ties missing", "part filled"])
def test_grillage_pynite(case):
    y, p = LOADS["part filled" if case == "part filled" else "capped"]
    springs = np.tile(SPRINGS, (4, 1)) * np.array([1.0, 0.8, 1.3, 1.1])[:, None]
    if case == "two ties missing":
        springs[1, 2] = springs[3, 0] = 0.0
    moved, at_wales, moments = pynite_grillage(springs, y, p)
    wall = Wall(0.0, TOP, LINES, HEIGHTS, EI, springs, WALES, EI_WALES)
    ours = solve_wall(wall, LineLoad(y, np.array(p) * WIDTHS[:, None]))
    ties = np.isin(wall.nodes, HEIGHTS)
    wales = np.isin(wall.nodes, WALES)
    pull = springs * np.maximum(moved, 0.0)
    assert (pull[..., -1] == 0.0).any() == (case == "part filled")
    assert differ(f"PyNite grillage, {case}, tie forces", ours.tie_force, pull) < 1e-6
    assert differ(f"PyNite grillage, {case}, deflections", ours.deflection[:, ties], moved) < 1e-6
    assert differ("  at the wales", ours.deflection[:, wales], at_wales) < 1e-6
    assert differ("  wale moments", np.abs(ours.wale_moments()), np.abs(moments)) < 1e-6
