"""A wall of rails and wales: against its rails, against a dense solution, and its own balance."""

from dataclasses import replace

import numpy as np
import pytest
from frames import near, rising
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from formpressure.errors import Refusal
from formpressure.statics import wall as wall_module
from formpressure.statics.grillage import Wall, assembled, tie_flexibility, unknowns
from formpressure.statics.load import LineLoad, force_between, moment_between
from formpressure.statics.rail import Rail, solve_rail
from formpressure.statics.wall import solve_wall, wall_afresh, wall_response

steady = settings(max_examples=60)


@st.composite
def walls(draw, most=5):
    """A small wall, a few ties never set, wales at ties and between, some loose ties, a load."""
    rng = np.random.default_rng(draw(st.integers(0, 10**6)))
    lines, ties = draw(st.integers(1, most)), draw(st.integers(2, 4))
    x = np.cumsum(rng.uniform(0.5, 3.0, lines))
    y = np.cumsum(rng.uniform(0.5, 2.0, ties))
    top = y[-1] + rng.uniform(0.2, 1.0)
    wales = np.sort(rng.choice(np.append(y, (y[0] + y[1]) / 2), draw(st.integers(0, 2)), False))
    springs = 10.0 ** rng.uniform(0.0, 3.0, (lines, ties))
    if draw(st.booleans()):
        springs[rng.random((lines, ties)) < 0.15] = 0.0
    wall = Wall(
        0.0, top, x, y, rng.uniform(0.5, 2.0, lines), springs, wales,
        rng.uniform(0.5, 20.0, (lines - 1, wales.size)),
        gap=np.where(rng.random((lines, ties)) < 0.1, 0.05, 0.0),
        base=draw(st.sampled_from([0.0, 10.0])),
    )  # fmt: skip
    surface = top * draw(st.sampled_from([1.0, 0.9, 0.6]))
    pressure = rng.uniform(0.5, 2.0, (lines, 1)) * [surface, 0.0]
    return wall, LineLoad([0.0, surface], pressure)


def dense(wall, taut):
    """The whole matrix from the band, and the rows that belong to ties."""
    band = assembled(wall, taut)
    columns = band.reshape(-1, band.shape[-1])
    matrix = np.zeros((len(columns),) * 2)
    for j, column in enumerate(columns):
        for d, value in enumerate(column[: len(columns) - j]):
            matrix[j + d, j] = matrix[j, j + d] = value
        assert not column[len(columns) - j :].any()
    at = unknowns(wall)
    rows = np.arange(wall.lines.size)[:, None] * at.size + at.tie
    return matrix, rows.ravel()


def held():
    """One of them solved, where its ties that only pull can hold it."""
    return walls().map(lambda drawn: solve_wall(*drawn)).filter(lambda result: result.held)


@steady
@given(held())
def test_pulls_balance_the_load(result):
    wall, load = result.wall, result.load
    ends = [wall.bottom], [wall.top]
    force = force_between(load, *ends)[:, 0]
    turning = moment_between(load, *ends, about=[0.0])[:, 0]
    near(result.tie_force.sum() + result.base_force.sum(), force.sum(), force.sum())
    near((result.tie_force @ wall.heights).sum(), turning.sum(), turning.sum())
    along = result.tie_force.sum(axis=1) + result.base_force
    near(along @ wall.lines, force @ wall.lines, force.sum() * wall.lines[-1])


@steady
@given(held())
def test_no_tie_pushes_and_every_slack_one_is_out_of_reach(result):
    wall = result.wall
    moved = result.deflection[:, np.isin(unknowns(wall).deflection, unknowns(wall).tie)]
    there = wall.stiffness > 0.0
    size = np.abs(moved).max()
    assert (result.tie_force >= 0.0).all()
    assert (result.tie_force[~there] == 0.0).all()
    assert (result.opening[there] >= -1e-9 * size).all()
    near(result.tie_force, wall.stiffness * np.maximum(moved - wall.gap, 0.0),
         result.tie_force.max())  # fmt: skip


@steady
@given(walls())
def test_without_wales_every_line_is_a_rail(drawn):
    wall, load = drawn
    wall = replace(wall, wale_heights=(), EI_wales=0.0)
    assume((wall.stiffness > 0.0).all())
    result = solve_wall(wall, load)
    alone = [
        solve_rail(
            Rail(wall.bottom, wall.top, wall.heights, wall.EI[i], wall.stiffness[i], wall.gap[i],
                 wall.base[i]),
            LineLoad(load.y[i], load.p[i]),
        )
        for i in range(wall.lines.size)
    ]  # fmt: skip
    assert result.held == all(rail.held for rail in alone)
    assume(result.held)
    for i, rail in enumerate(alone):
        near(result.tie_force[i], rail.tie_force)
        near(result.deflection[i], rail.deflection)
        near(result.slope[i], rail.rotation)
        sections = result.rail_sections()
        near(sections.moment[i], rail.sections().moment, rail.tie_force.max() * wall.top)
        near(sections.peak_moment[i], rail.sections().peak_moment, rail.tie_force.max() * wall.top)


@steady
@given(walls())
def test_cut_wales_are_no_wales(drawn):
    wall, load = drawn
    assume(wall.wale_heights.size)
    cut = solve_wall(replace(wall, EI_wales=0.0), load)
    none = solve_wall(replace(wall, wale_heights=(), EI_wales=0.0), load)
    assert cut.held == none.held
    assume(cut.held)
    near(cut.tie_force, none.tie_force)
    assert not cut.wale_moments().any()


@steady
@given(held())
def test_the_band_is_the_frame(result):
    """The band's solution solves the dense system; rail and wale moments come from it."""
    wall, load = result.wall, result.load
    taut = (result.opening == 0.0) & (wall.stiffness > 0.0)
    matrix, rows = dense(wall, taut)
    at = unknowns(wall)
    moved = np.zeros((wall.lines.size, at.size))
    moved[:, at.deflection], moved[:, at.slope] = result.deflection, result.slope
    moved[:, at.wale_slope] = result.wale_slope
    resisted = (matrix @ moved.ravel()).reshape(moved.shape)
    drawn_out = np.where(taut, wall.stiffness * wall.gap, 0.0)
    total = force_between(load, [wall.bottom], [wall.top]).sum()
    applied = resisted[:, at.deflection].sum() - drawn_out.sum()
    near(applied, total, total)
    found = tie_flexibility(wall, taut)
    near(found, np.linalg.inv(matrix)[np.ix_(rows, rows)], np.abs(found).max())


@steady
@given(walls())
def test_from_the_other_end(drawn):
    wall, load = drawn
    turned = Wall(
        wall.bottom, wall.top, -wall.lines[::-1], wall.heights, wall.EI[::-1],
        wall.stiffness[::-1], wall.wale_heights, wall.EI_wales[::-1], wall.gap[::-1],
        wall.base[::-1],
    )  # fmt: skip
    one = solve_wall(wall, load)
    other = solve_wall(turned, LineLoad(load.y[::-1], load.p[::-1]))
    assert one.held == other.held
    assume(one.held)
    near(one.tie_force, other.tie_force[::-1])
    near(one.wale_moments(), other.wale_moments()[::-1, :, ::-1], one.tie_force.max() * wall.top)


@steady
@given(walls())
def test_pivoting_and_flipping_agree(drawn):
    """The settling one by one that is only a fallback, made to do the whole work."""
    wall, load = drawn
    quick = solve_wall(wall, load)
    rounds = wall_module.ROUNDS
    wall_module.ROUNDS = 0
    try:
        slow = solve_wall(wall, load)
    finally:
        wall_module.ROUNDS = rounds
    assert quick.held == slow.held
    assume(quick.held)
    near(quick.tie_force, slow.tie_force)
    near(quick.deflection, slow.deflection)


def plain(count=8, **more):
    given = {
        "bottom": 0.0, "top": 3.5, "lines": 2.0 * np.arange(count), "heights": [0.8, 1.8, 2.8],
        "EI": 1.0, "stiffness": 20.0, "wale_heights": [0.8, 1.8], "EI_wales": 5.0,
    }  # fmt: skip
    return Wall(**given | more)


@pytest.mark.parametrize("seed", range(4))
def test_the_search_for_the_stretched_ties_ends_by_itself(seed, monkeypatch):
    """Half the ties gone, all of them along half the wall: many others push, and which is found
    without pivoting. Two of these four walls need the line search."""
    heights = [1.0, 2.5, 4.0, 5.5, 7.0, 8.5]
    number = np.arange(100)
    wall = Wall(0.0, 10.0, 2.0 * number, heights, 1e5, 2e5, heights, 3e5)
    hole = (number > 25) & (number < 75)
    gone = hole[:, None] | (np.random.default_rng(seed).random((100, 6)) < 0.5)
    monkeypatch.setattr(wall_module, "settle", lambda *_: pytest.fail("pivoting was called"))
    found = solve_wall(wall, LineLoad([0.0, 6.0, 10.0], [1200.0, 1200.0, 0.0]), gone)
    assert found.held
    assert (found.tie_force[~gone] == 0.0).sum() > 20
    near(found.tie_force.sum(), 100 * 9600.0, 100 * 9600.0)


def test_cases_from_one_factorisation():
    wall = plain(base=3.0)
    surface = np.array([1.1, 3.0, 3.5])
    together = solve_wall(wall, rising(surface[:, None]))
    assert together.tie_force.shape == (3, 8, 3)
    assert together.held.shape == (3,)
    assert together.rail_sections().peak_moment.shape == (3, 8)
    assert together.wale_moments().shape == (3, 7, 2, 2)
    assert together.held.all()
    slack = 0
    for i, s in enumerate(surface):
        alone = solve_wall(wall, LineLoad([0.0, s], [s, 0.0]))
        near(together.tie_force[i], alone.tie_force)
        near(together.rail_sections().peak_moment[i], alone.rail_sections().peak_moment)
        near(together.wale_moments()[i], alone.wale_moments(), alone.tie_force.max())
        slack += (alone.tie_force == 0.0).sum()
    assert slack  # the lowest surface leaves the top ties slack, so each case has its own


def test_a_wall_that_nothing_holds():
    load = LineLoad([0.0, 3.5], [1.0, 1.0])
    one_row = plain(stiffness=[[0.0, 20.0, 0.0]] * 8)
    result = solve_wall(one_row, load)
    assert not result.held
    assert np.isnan(result.tie_force).all()
    with pytest.raises(Refusal, match="do not hold"):
        wall_response(one_row, load)
    assert solve_wall(plain(stiffness=[[0.0, 20.0, 20.0]] * 8, base=3.0), load).held
    assert not wall_afresh(plain(), load)(np.ones(24, bool)).held


def test_wales_of_no_told_stiffness_are_cut():
    assert not Wall(0.0, 3.5, [0.0, 2.0], [0.8, 2.8], 1.0, 20.0, [0.8]).EI_wales.any()


def test_a_window_is_the_wall_cut_out():
    wall = plain(stiffness=np.arange(1.0, 25.0).reshape(8, 3))
    part = wall.window(2, 5)
    assert part.lines.tolist() == [4.0, 6.0, 8.0]
    assert part.stiffness.tolist() == wall.stiffness[2:5].tolist()
    assert part.EI_wales.shape == (2, 2)
    load = LineLoad([0.0, 3.5], [1.0, 1.0])
    whole = solve_wall(plain(31), load).tie_force[15]
    near(solve_wall(plain(31).window(5, 26), load).tie_force[10], whole, within=1e-3)


def test_too_many_ties_are_refused(monkeypatch):
    load = LineLoad([0.0, 3.5], [1.0, 1.0])
    with pytest.raises(Refusal, match="window"):
        wall_response(plain(1300), load)
    monkeypatch.setattr(wall_module, "MOST_TIES", 24)
    wall_response(plain(8), load)
    with pytest.raises(Refusal, match="more than 24 ties"):
        wall_response(plain(9), load)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"stiffness": np.inf}, "not finite"),
        ({"EI": 0.0}, "bending stiffness"),
        ({"stiffness": -1.0}, "below 0"),
        ({"gap": -1.0}, "below 0"),
        ({"EI_wales": -1.0}, "below 0"),
        ({"lines": [0.0] * 8}, "lines of a wall"),
        ({"heights": [2.0, 1.0, 0.5]}, "not in order"),
        ({"wale_heights": [1.0, 9.0]}, "outside"),
        ({"wale_heights": [0.8 + 1e-6, 1.8]}, "almost meet"),
    ],
)
def test_what_is_no_wall(wrong, words):
    with pytest.raises(Refusal, match=words):
        plain(**wrong)


def test_one_response_is_for_one_case():
    load = LineLoad([0.0, 3.5], np.ones((2, 1, 2)))
    with pytest.raises(Refusal, match="one load case"):
        wall_response(plain(), load)
