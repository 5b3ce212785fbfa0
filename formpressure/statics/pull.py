"""Ties that can pull but not push, and what is left when some are gone, worked at the ties alone.

Take one state of the structure as reference, each tie either taut (a spring) or slack (no spring).
Let the anchor of a taut tie be pushed in by x: its own force and the forces of all others change in
proportion. Give a slack tie a force x: likewise. So everything about the members that matters to
the ties is one square table, `effect`, found once. Then

    value = value0 + x @ effect,   x = 0 for every tie that stays as in the reference,

where `value` is the force of a taut tie and the opening of a slack one. To flip ties, choose their
x so that their values become zero: x is then the opening of one that went slack, the force of one
that went taut. Pull-only means: find the flips for which every value and every x is zero or more.
This is a linear complementarity problem with a positive semi-definite matrix, solved here by the
principal pivoting method of Cottle and Dantzig, Complementary pivot theory of mathematical
programming, Linear Algebra and its Applications 1 (1968) 103-125. It ends with the state of the
ties that is in balance, or shows that there is none: the members move off freely.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from formpressure.statics.load import Array, Mask

ROUNDING = 1e-12  # times the largest force: a push below this is rounding
LET_GO = 1e-11  # times the stiffness of reference: what is held by less than this is not held
STEPS = 20  # pivots allowed for each tie; only a fault would need as many


@dataclass(frozen=True, slots=True, eq=False)
class TieResponse:
    """What the ties do in a reference state, and how each answers when another lets go.

    `value` (ties,): force of a taut tie; opening of a slack one (its slack yet to be taken up)
    times `stiffness`, so that all are forces. The reference itself may break the pull-only rule;
    `settle` puts that right. `effect` (ties, ties), no unit: row t is the change of all values for
    one unit of tie t's x. `present`: False where there never was a tie, and then `taut` is False.
    `stiffness`: a force per length of the size of the structure's own. `needed`: with fewer taut
    ties than this the structure turns or moves off, whatever the rounding says.
    """

    value: Array
    effect: Array
    taut: Mask
    present: Mask
    stiffness: float
    needed: int


@dataclass(frozen=True, slots=True, eq=False)
class Settled:
    """Ties in balance. Where nothing balances, `held` is False and the numbers are NaN.

    `force` (ties,). `opening` (ties,): slack left before the tie would pull, 0 for one that pulls;
    below zero for a tie that is gone and whose place has moved out.
    """

    force: Array
    opening: Array
    held: bool


def let_go(response: TieResponse, gone: Mask) -> Settled | None:
    """The state without the ties in `gone` (a mask) if no other tie goes slack or is taken up."""
    gone = gone & response.present
    if not _stands(response, gone & response.taut):
        return None
    taut = response.taut & ~gone
    signed = _signed(response, taut)
    if (signed[response.present & ~gone] < -_noise(response)).any():
        return None
    return _settled(response, taut, signed)


def settle(response: TieResponse, gone: Mask | None = None) -> Settled:
    """The state of pull-only ties with the ties in `gone` (a mask) not there."""
    gone = np.zeros_like(response.taut) if gone is None else gone & response.present
    found = let_go(response, gone)
    if found is not None:
        return found
    if not _stands(response, gone & response.taut):
        loose = response.present & ~gone & ~response.taut  # might yet be taken up
        return settle(_flip(response, loose), gone) if loose.any() else _not_held(response)
    taut = _find_taut(response, gone)
    return (
        _not_held(response) if taut is None else _settled(response, taut, _signed(response, taut))
    )


def _noise(response: TieResponse) -> float:
    return ROUNDING * float(np.abs(response.value).max(initial=0.0))


def _signed(response: TieResponse, taut: Mask) -> Array:
    """Force of each taut tie and opening of each slack one when just these are taut."""
    flipped = np.flatnonzero(taut != response.taut)
    effect = response.effect[flipped]
    x = np.linalg.solve(effect[:, flipped].T, -response.value[flipped])
    signed = response.value + x @ effect
    signed[flipped] = x
    return signed


def _settled(response: TieResponse, taut: Mask, signed: Array) -> Settled:
    force = np.where(taut, np.maximum(signed, 0.0), 0.0)
    return Settled(force, np.where(taut, 0.0, signed) / response.stiffness, True)


def _not_held(response: TieResponse) -> Settled:
    nothing = np.full(response.value.size, np.nan)
    return Settled(nothing, nothing, False)


def _find_taut(response: TieResponse, gone: Mask) -> Mask | None:
    """Which ties are taut when none pushes; None where there is no such state.

    Each round takes the tie that is most in the wrong and drives its x up until its value is no
    longer negative. What would turn negative on the way is flipped as it reaches zero, so every
    round leaves fewer wrong than it found. Slack ties come first: they can always be taken up, and
    once they are right, a taut one that cannot be relieved proves that nothing balances.
    """
    state = _Pivoting(response, gone)
    for _ in range(STEPS * gone.size):
        wrong = state.watched & (state.signed < -state.noise)
        if not wrong.any():
            return state.taut
        slack = wrong & ~state.taut
        among = slack if slack.any() else wrong
        if not _drive(state, int(np.argmin(np.where(among, state.signed, np.inf)))):
            return None
    raise ArithmeticError(f"the pull-only state of {gone.size} ties was not found")


class _Pivoting:
    """Ties on the way to their state: which are taut, and value or x of each, as is not zero."""

    def __init__(self, response: TieResponse, gone: Mask) -> None:
        self.response, self.noise = response, _noise(response)
        self.watched = response.present & ~gone
        self.taut = response.taut & ~gone
        self.signed = _signed(response, self.taut)
        self.driven = 0.0  # x of the one tie being driven; or its value, where it is flipped

    def rates(self, tie: int) -> Array:
        """Change of `signed` for one unit of the driven quantity of this tie."""
        flipped = np.flatnonzero(self.taut != self.response.taut)
        effect = self.response.effect[flipped]
        own = flipped == tie
        right = own.astype(float) if own.any() else -self.response.effect[tie, flipped]
        dx = np.linalg.solve(effect[:, flipped].T, right)
        rate = dx @ effect + (0.0 if own.any() else self.response.effect[tie])
        rate[flipped] = dx
        return np.asarray(rate, float)

    def free(self, tie: int) -> bool:
        """A slack tie can always be taken up; a taut one let go only if the rest still stands."""
        if not self.taut[tie]:
            return True
        enough = np.count_nonzero(self.taut) > self.response.needed
        return bool(enough and self.rates(tie)[tie] > LET_GO)


def _drive(state: _Pivoting, tie: int) -> bool:
    """Bring one tie's value from below zero to zero; False if nothing ever would.

    Where a taut tie without which nothing stands comes to zero, it and the driven one are flipped
    together, and it is the driven one's value itself that is raised on.
    """
    state.driven, exchanged = 0.0, False
    for _ in range(STEPS * state.signed.size):
        rate, free = state.rates(tie), state.free(tie)
        others = state.watched & (free | exchanged | ~state.taut)  # a mechanism changes no pull
        others[tie] = False
        still = ROUNDING * float(np.abs(rate).max())
        blocks = others & (state.signed >= -state.noise) & (rate < -still)
        steps = np.full(rate.size, np.inf)
        steps[blocks] = np.maximum(state.signed[blocks], 0.0) / -rate[blocks]
        first = int(np.argmin(steps))

        end = np.inf  # the step at which the driven tie's value is zero
        if exchanged:
            end = -state.driven
        elif free:
            end = -state.signed[tie] / rate[tie]
        step = min(end, float(steps[first]))
        if step == np.inf:
            return False
        state.signed = state.signed + step * rate
        state.driven += step
        value = state.driven if exchanged else state.signed[tie]
        if step == end or (free and value >= -state.noise):
            if not exchanged:
                state.taut[tie] ^= True
                state.signed[tie] = state.driven
            return True
        state.signed[first] = 0.0
        if state.free(first):
            state.taut[first] ^= True
        else:
            state.taut[[first, tie]] ^= True
            state.signed[tie], state.driven = state.driven, state.signed[tie]
            exchanged = not exchanged
    raise ArithmeticError(f"the pull-only state of {state.signed.size} ties was not found")


def _exchanged(effect: Array, ties: Mask) -> Array:
    """The effect of the values of these ties where there was that of their x.

    Source: Tucker, A combinatorial equivalence of matrices, Proc. Symposia in Applied Mathematics
    10 (1960) 129-140: the principal pivot transform.
    """
    rows, columns = effect[ties], effect[:, ties]
    inverse = np.linalg.inv(rows[:, ties])
    out = np.asarray(effect - columns @ (inverse @ rows), float)
    out[ties] = inverse @ rows
    out[:, ties] = -columns @ inverse
    out[np.ix_(ties, ties)] = inverse
    return out


def _flip(response: TieResponse, ties: Mask) -> TieResponse:
    """The same structure with another reference: these ties flipped."""
    effect = _exchanged(response.effect, ties)
    x = -response.value[ties] @ effect[np.ix_(ties, ties)]
    value = response.value + x @ response.effect[ties]
    value[ties] = x
    return replace(response, value=value, effect=effect, taut=response.taut ^ ties)


def _stands(response: TieResponse, going: Mask) -> bool:
    """Whether taut ties can all go: each one's pivot is the stiffness left when it goes in turn."""
    if np.count_nonzero(response.taut & ~going) < response.needed:
        return False
    try:
        pivots = np.diagonal(np.linalg.cholesky(response.effect[np.ix_(going, going)])) ** 2
    except np.linalg.LinAlgError:
        return False
    return bool((pivots > LET_GO).all())
