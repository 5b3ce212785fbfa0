"""One rail: balance, symmetry, superposition, units, slack ties, and what is refused."""

import numpy as np
import pytest
from frames import near, rising
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from formpressure.errors import Refusal
from formpressure.statics import rails as rails_module
from formpressure.statics.load import LineLoad, force_between, moment_between
from formpressure.statics.rail import Rail, rail_response, solve_rail
from formpressure.statics.rails import solve_rails

steady = settings(max_examples=100)


@st.composite
def rails(draw, base=None):
    """A rail with two to seven ties, and a capped pressure on the whole of it."""
    steps = draw(st.lists(st.floats(0.2, 3.0), min_size=3, max_size=8))
    heights = np.cumsum(steps)
    stiffness = [draw(st.sampled_from([0.1, 1.0, 30.0, 1e4, np.inf])) for _ in steps[1:]]
    hinge = draw(st.sampled_from([0.0, 2.0, np.inf])) if base is None else base
    rail = Rail(0.0, heights[-1], heights[:-1], draw(st.floats(0.1, 10.0)), stiffness, base=hinge)
    cap = draw(st.floats(0.1, 0.9)) * rail.top
    return rail, LineLoad([0.0, cap, rail.top], [rail.top - cap, rail.top - cap, 0.0])


def held():
    """One of them solved, where its ties that only pull can hold it."""
    return rails().map(lambda drawn: solve_rail(*drawn)).filter(lambda result: result.held)


@steady
@given(held())
def test_pulls_balance_the_load(result):
    rail, load = result.rail, result.load
    ends = [rail.bottom], [rail.top]
    total = force_between(load, *ends)[0]
    near(result.tie_force.sum() + result.base_force, total, total)
    turning = moment_between(load, *ends, about=[0.0])[0]
    near(result.tie_force @ rail.heights, turning, turning)


@steady
@given(held())
def test_no_tie_pushes_and_every_slack_one_is_out_of_reach(result):
    rail = result.rail
    moved = result.deflection[rail.tie_nodes]
    size = np.abs(result.deflection).max()
    assert (result.tie_force >= 0.0).all()
    assert (result.opening >= 0.0).all()
    assert (result.tie_force * result.opening == 0.0).all()
    near((rail.gap - moved)[result.slack], result.opening[result.slack], size)
    stretch = (moved - rail.gap)[~result.slack]
    near(stretch, (result.tie_force / rail.stiffness)[~result.slack], size)


@steady
@given(rails(base=0.0))
def test_upside_down(drawn):
    rail, load = drawn
    turned = Rail(0.0, rail.top, rail.top - rail.heights[::-1], rail.EI, rail.stiffness[::-1])
    mirrored = LineLoad(rail.top - load.y[::-1], load.p[::-1])
    one, other = solve_rail(rail, load), solve_rail(turned, mirrored)
    assert one.held == other.held
    assume(one.held)
    near(one.tie_force, other.tie_force[::-1])
    near(one.deflection, other.deflection[::-1])


@steady
@given(rails(), st.floats(0.1, 5.0))
def test_loads_add_while_every_tie_pulls(drawn, factor):
    rail, load = drawn
    other = LineLoad([0.0, rail.top], [factor, factor])
    both = LineLoad(load.y, load.p + factor)
    one, two, sum_of = (solve_rail(rail, v) for v in (load, other, both))
    assume(one.held and two.held and not (one.slack.any() or two.slack.any()))
    near(sum_of.tie_force, one.tie_force + two.tie_force)
    near(sum_of.deflection, one.deflection + two.deflection)
    moments = [v.sections().moment for v in (one, two, sum_of)]
    near(moments[2], moments[0] + moments[1], np.abs(moments).max())


@steady
@given(rails(), st.sampled_from([1e-6, 0.3048, 12.0, 1e6]), st.sampled_from([1e-9, 4.448, 1e9]))
def test_units_do_not_matter(drawn, length, force):
    rail, load = drawn
    same = Rail(
        0.0, rail.top * length, rail.heights * length, rail.EI * force * length**2,
        rail.stiffness * force / length, rail.gap * length, rail.base * force / length,
    )  # fmt: skip
    one = solve_rail(rail, load)
    other = solve_rail(same, LineLoad(load.y * length, load.p * force / length))
    assert one.held == other.held
    assume(one.held)
    near(other.tie_force / force, one.tie_force)
    near(other.deflection / length, one.deflection)


@steady
@given(rails(), st.integers(0, 30))
def test_cases_from_one_factorisation(drawn, seed):
    rail, _ = drawn
    surface = np.sort(np.random.default_rng(seed).uniform(0.05, 1.0, 5)) * rail.top
    together = solve_rail(rail, rising(surface))
    for i, s in enumerate(surface):
        alone = solve_rail(rail, LineLoad([0.0, s], [s, 0.0]))
        assert together.held[i] == alone.held
        np.testing.assert_allclose(together.tie_force[i], alone.tie_force, rtol=1e-9, atol=1e-12)


@steady
@given(held())
def test_deflection_is_the_moment_integrated_twice(result):
    """Simpson's rule on the moments found by statics, against the deflections of the frame."""
    rail, load = result.rail, result.load
    i = int(np.argmax(np.diff(rail.nodes)))
    a, b = rail.nodes[i : i + 2]
    y = np.linspace(a, b, 2001)
    start, last = result.sections().moment[i], result.sections().shear_above[i]
    t = y - a
    lever = moment_between(load, np.full_like(y, a), y, about=y)
    moment = start + last * t + lever
    inner = (b - y) * moment
    weights = np.tile([2.0, 4.0], 1001)[:2001] * (y[1] - y[0]) / 3.0
    weights[[0, -1]] /= 2.0
    rise = result.rotation[i] * (b - a) - weights @ inner / rail.EI
    size = np.abs(result.deflection).max() + np.abs(result.rotation).max() * (b - a)
    np.testing.assert_allclose(result.deflection[i + 1] - result.deflection[i], rise,
                               rtol=0, atol=1e-6 * size)  # fmt: skip


@steady
@given(held())
def test_the_peak_moment_is_the_greatest_anywhere(result):
    rail, load = result.rail, result.load
    found = result.sections()
    y = np.append(np.linspace(0.0, rail.top, 4001), found.peak_moment_at)
    pulls = np.zeros_like(result.deflection)
    pulls[rail.tie_nodes] = result.tie_force
    pulls[0] += result.base_force
    arms = np.maximum(y[:, None] - rail.nodes, 0.0)
    moment = arms @ pulls + moment_between(load, np.zeros(4002), y, about=y)
    shear = (y[:, None] > rail.nodes) @ pulls - force_between(load, np.zeros(4002), y)
    total = pulls.sum() * rail.top
    assert np.abs(moment).max() <= abs(found.peak_moment) + 1e-12 * total
    near(moment[-1], found.peak_moment, total)
    assert np.abs(shear).max() <= abs(found.peak_shear) + 1e-12 * total
    near(found.moment[[0, -1]], 0.0, total)


def test_a_peak_is_told_on_the_rail_though_its_load_begins_below():
    unloaded = solve_rail(Rail(0.0, 3.0, [1.0, 2.0], 1.0), LineLoad([-1.0, 4.0], [0.0, 0.0]))
    assert unloaded.sections().peak_moment_at == 0.0


def test_a_tie_that_is_gone():
    rail = Rail(0.0, 4.0, [0.5, 1.5, 2.5, 3.5], 2.0, 5.0)
    load = LineLoad([0.0, 4.0], [3.0, 3.0])
    gone = solve_rail(rail, load, np.array([False, True, False, False]))
    never = solve_rail(Rail(0.0, 4.0, [0.5, 2.5, 3.5], 2.0, 5.0), load)
    near(gone.tie_force[[0, 2, 3]], never.tie_force)
    assert gone.tie_force[1] == 0.0
    assert gone.opening[1] == pytest.approx(-never.deflection_at([1.5])[0], rel=1e-12)
    one_left = solve_rail(rail, load, np.array([True, True, True, False]))
    assert not one_left.held
    assert np.isnan(one_left.tie_force).all()


def test_deflection_anywhere_between_three_rigid_ties():
    """Statics: each span of two under even load p is a beam fixed at the middle tie, so at x from
    its outer end w = p x (L^3 - 3 L x^2 + 2 x^3) / (48 EI)."""
    L, EI, p = 3.0, 2.0, 5.0
    result = solve_rail(Rail(0.0, 2 * L, [0.0, L, 2 * L], EI), LineLoad([0.0, 2 * L], [p, p]))
    y = np.array([0, 1, 2, 3, 4, 5, 6])  # whole numbers do as well as others
    x = np.minimum(y, 2 * L - y)
    near(result.deflection_at(y), p * x * (L**3 - 3 * L * x**2 + 2 * x**3) / (48 * EI))


def test_ties_at_the_very_ends():
    rail = Rail(0.0, 2.0, [0.0, 1.0, 2.0], 1.0)
    assert rail.nodes.tolist() == [0.0, 1.0, 2.0]
    assert solve_rail(rail, LineLoad([0.0, 2.0], [1.0, 1.0])).tie_force.sum() == pytest.approx(2.0)


GOOD = {"bottom": 0.0, "top": 3.0, "heights": [1.0, 2.0], "EI": 1.0}


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"EI": 0.0}, "bending stiffness"),
        ({"EI": np.inf}, "bending stiffness"),
        ({"stiffness": 0.0}, "no stiffness"),
        ({"stiffness": np.nan}, "no stiffness"),
        ({"base": -1.0}, "no stiffness"),
        ({"gap": -0.1}, "gap"),
        ({"gap": np.inf}, "gap"),
        ({"heights": [2.0, 1.0]}, "not in order"),
        ({"heights": [1.0, 3.5]}, "outside"),
        ({"heights": [1.0, 1.0 + 1e-6]}, "almost meet"),
        ({"heights": [1e-5, 2.0]}, "almost meet"),
        ({"heights": [0.0, 2.0], "base": 1.0}, "at one height"),
        ({"top": 0.0, "heights": [0.0]}, "outside"),
    ],
)
def test_what_is_no_rail(wrong, words):
    Rail(**GOOD)
    with pytest.raises(Refusal, match=words):
        Rail(**GOOD | wrong)


def many(count=50, seed=4):
    rng = np.random.default_rng(seed)
    heights = np.cumsum(rng.uniform(0.5, 2.0, (count, 5)), axis=1)
    return {
        "bottom": 0.0,
        "top": heights[:, -1] + rng.uniform(0.3, 1.5, count),
        "heights": heights,
        "EI": rng.uniform(0.5, 2.0, count),
        "stiffness": np.where(
            rng.random((count, 5)) < 0.2, np.inf, rng.uniform(1, 100, (count, 5))
        ),
        "gap": np.where(rng.random((count, 5)) < 0.2, rng.uniform(0, 0.2, (count, 5)), 0.0),
        "base": rng.choice([0.0, 3.0, np.inf], count),
    }


def test_many_rails_each_as_one():
    given = many()
    surface = given["top"] * np.linspace(0.3, 1.0, 50)
    load = rising(surface)
    result = solve_rails(**given, load=load)
    kinds = set()
    for i in range(50):
        rail = Rail(**{k: (v if np.ndim(v) == 0 else v[i]) for k, v in given.items()})
        one = solve_rail(rail, LineLoad(load.y[i], load.p[i]))
        assert one.held == result.held[i]
        kinds.add("slack" if one.slack.any() else "whole" if one.held else "lost")
        if one.held:
            near(result.tie_force[i], one.tie_force)
            near(result.deflection[i], one.deflection)
            near(result.rotation[i], one.rotation)
            near(result.base_force[i], one.base_force, one.tie_force.max())
        else:
            assert np.isnan(result.tie_force[i]).all()
            assert np.isnan(result.deflection[i]).all()
    assert kinds == {"slack", "whole", "lost"}


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"heights": [2.0, 1.0]}, "not in order"),
        ({"heights": [0.0, 1.0]}, "meet"),
        ({"EI": [1.0, 0.0]}, "bending stiffness"),
        ({"stiffness": 0.0}, "no stiffness"),
        ({"heights": [0.5, 1.0, 2.0], "stiffness": [1.0, 0.0, 1.0]}, "no stiffness"),
        ({"heights": [0.5, 1.0, 2.0], "base": -1.0}, "no stiffness"),
        ({"gap": -1.0}, "gap"),
    ],
)
def test_what_are_no_rails(wrong, words):
    good = GOOD | {"stiffness": 1.0, "load": LineLoad([0.0, 3.0], [1.0, 1.0])}
    solve_rails(**good)
    with pytest.raises(Refusal, match=words):
        solve_rails(**good | wrong)


@pytest.mark.parametrize("low", [0.0, 100.0])
def test_close_is_judged_by_the_length_of_a_rail(low):
    """A rail 10 long: nodes 0.002 apart will do, 0.0005 apart will not."""

    def solve(apart):
        ties = low + np.array([3.0, 3.0 + apart, 8.0])
        return solve_rails(low, low + 10.0, ties, 1.0, 1.0, LineLoad([low, low + 10.0], [1.0, 1.0]))

    assert solve(0.002).held.all()
    with pytest.raises(Refusal, match="meet"):
        solve(0.0005)


def test_many_loads_on_one_rail_that_has_neither_gaps_nor_a_base():
    """Statics: rigid ties 1 and 2 up, even load from 0 to s: s (2 - s / 2) and s (s / 2 - 1)."""
    surface = np.array([2.0, 2.5, 3.0])
    load = LineLoad(np.stack([0 * surface, surface], -1), np.ones((3, 2)))
    found = solve_rails(0, 3, [1, 2], 1, np.inf, load)
    near(found.tie_force, np.stack([surface * (2 - surface / 2), surface * (surface / 2 - 1)], -1))
    near(found.base_force, np.zeros(3), 1.0)
    near(found.deflection[:, 1:3], np.zeros((3, 2)), 1.0)
    assert found.held.all()
    assert found.nodes.tolist() == [[0.0, 1.0, 2.0, 3.0]] * 3


def counted(monkeypatch, rounds):
    """How often one rail is solved by itself, in `rounds` of flipping ties together."""
    calls = []
    monkeypatch.setattr(rails_module, "ROUNDS", rounds)
    alone = rails_module.solve_rail
    monkeypatch.setattr(rails_module, "solve_rail", lambda *a: calls.append(1) or alone(*a))
    return calls


def test_rails_whose_ties_all_pull_come_to_rest_in_one_round(monkeypatch):
    """Among them an unloaded one, soft and rigid ties, a soft and no base; two ties at least."""
    calls = counted(monkeypatch, 1)
    springs = np.array([[1e-3, 2e-3], [np.inf, np.inf], [1.0, np.inf], [5.0, 5.0], [3.0, 3.0]])
    base = np.array([1e-3, 0.0, 3.0, np.inf, 0.0])
    load = LineLoad([0.0, 4.0], np.array([1.0, 2.0, 3.0, 4.0, 0.0])[:, None] * [1.0, 1.0])
    many = solve_rails(0.0, 4.0, [1.5, 2.5], 1.0, springs, load, base=base)
    assert not calls
    assert not many.tie_force[4].any()
    for i in range(5):
        one = solve_rail(
            Rail(0.0, 4.0, [1.5, 2.5], 1.0, springs[i], base=base[i]), LineLoad([0, 4], load.p[i])
        )
        near(many.tie_force[i], one.tie_force, 8.0)
        near(many.base_force[i], one.base_force, 8.0)


# Load between the two lower ties, in the middle of them, lifts the rail off the third; the middle
# one of three hangs looser than the rail bends. Either way two ties share the load by statics.
LIFTED = Rail(0.0, 4.0, [1.0, 2.0, 3.0], 1.0), LineLoad([1.0, 2.0], [6.0, 6.0])
LOOSE = Rail(0.0, 4.0, [1.0, 2.0, 3.0], 1.0, 2.0, [0, 9, 0]), LineLoad([0.0, 4.0], [1.5, 1.5])


@pytest.mark.parametrize(("rounds", "left"), [(2, 0), (1, 1)])
@pytest.mark.parametrize(("slack", "forces"), [(LIFTED, [3.0, 3.0, 0.0]), (LOOSE, [3.0, 0.0, 3.0])])
def test_a_slack_tie_takes_a_second_round_for_its_own_rail_only(
    slack, forces, rounds, left, monkeypatch
):
    """Beside it a rail whose ties all pull, under a load so large that the other's is rounding."""
    calls = counted(monkeypatch, rounds)
    rail, load = slack
    both = LineLoad([load.y, [0.5, 3.5]], [load.p * 1e-14, [1.0, 1.0]])
    gap = np.stack([rail.gap * 1e-14, [0.0, 0.0, 0.0]])
    found = solve_rails(0.0, 4.0, rail.heights, 1.0, rail.stiffness, both, gap)
    assert len(calls) == left
    assert found.held.all()
    near(found.tie_force[0], 1e-14 * np.array(forces))
    alone = Rail(0.0, 4.0, rail.heights, 1.0, rail.stiffness, gap[0])
    near(solve_rail(alone, LineLoad(load.y, load.p * 1e-14)).tie_force, found.tie_force[0])
    near(found.tie_force[1].sum(), 3.0)


def test_on_one_support_a_rail_turns():
    assert not solve_rails(0.0, 3.0, [1.5], 1.0, 1.0, LineLoad([0.0, 3.0], [1.0, 1.0])).held.any()


def test_one_response_is_for_one_case():
    with pytest.raises(Refusal, match="one load case"):
        rail_response(Rail(**GOOD), LineLoad([0.0, 1.0], [[1.0, 1.0], [2.0, 2.0]]))


def test_rails_that_do_not_come_to_rest_together_are_solved_one_by_one(monkeypatch):
    drawn = many() | {"stiffness": 5.0, "gap": np.random.default_rng(2).uniform(0.0, 2.0, (50, 5))}
    load = LineLoad([0.0, 4.0], [1.0, 0.0])
    together = solve_rails(**drawn, load=load)
    monkeypatch.setattr("formpressure.statics.rails.ROUNDS", 1)
    one_by_one = solve_rails(**drawn, load=load)
    assert (together.held == one_by_one.held).all()
    assert (together.tie_force[together.held] == 0.0).any()  # some hang loose
    for name in ("tie_force", "base_force", "deflection", "rotation"):
        both = getattr(one_by_one, name), getattr(together, name)
        near(*(values[together.held] for values in both))
