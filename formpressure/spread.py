"""The plan again and again with inputs that lie apart as the plan says: input spread only.

It is not a probability of failure. It knows nothing of how true the pressure document is, of worn
or forgotten parts, of a slip by the crew; and inputs are drawn as if none knew of the other.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from formpressure.case import Case
from formpressure.errors import Refusal
from formpressure.margin import Margins, margins
from formpressure.plan import Plan
from formpressure.plan_spread import NORMAL, PLACES
from formpressure.spread_pours import CHUNK, Floats, Pours, Varied
from formpressure.verdict import Verdict, check

GENERATOR = "PCG64"  # numpy's generator of this name, one stream for each input
REACH = 5.0  # widths to either side within which nearly all of a normal spread lies
MOST_SAMPLES = 1_000_000_000
FIRST = 4 * CHUNK  # samples whose peak pressures are counted
BINS = 2000  # of that count, up to twice full liquid head
LEVEL = 0.95  # of the interval


@dataclass(frozen=True, slots=True)
class InputSpread:
    """What the exact margins are, and then how many of the drawn pours pass; bare.

    `over` counts those in which what carries the pressure is NOT OK, `outside` those for which the
    document gives no answer; neither counts as passed. Where the unit weight varies the form is
    judged at the next heavier of some weights: `doubtful` of `over` might pass at their own.
    `peaks` counts the first `counted` by largest pressure, in steps of `step`; `most` is the
    largest of them.
    """

    verdict: Verdict
    margins: Margins
    shape: str
    varied: tuple[Varied, ...]
    seed: int
    samples: int
    over: int
    outside: int
    doubtful: int
    peaks: NDArray[np.int64]
    step: float
    most: float

    @property
    def within(self) -> int:
        """Samples in which all that was given a strength carries the pressure."""
        return self.samples - self.over - self.outside

    @property
    def share(self) -> float:
        """Share of the samples that do not pass: over, or outside the document; nan for none."""
        return (self.over + self.outside) / self.samples if self.samples else float("nan")

    @property
    def interval(self) -> tuple[float, float]:
        """Interval of that share by `LEVEL`: how far more samples would still move it."""
        return wilson(self.over + self.outside, self.samples) if self.samples else (0.0, 1.0)

    @property
    def counted(self) -> int:
        """How many peak pressures were counted."""
        return int(self.peaks.sum())

    @property
    def not_varied(self) -> tuple[str, ...]:
        """Inputs that could vary and for which the plan gives no spread."""
        return tuple(term for term in PLACES if term not in [v.term for v in self.varied])

    def quantile(self, share: float) -> float:
        """The pressure that this share of the peaks does not pass, rounded up to a step.

        Nan where no sample is inside the document.
        """
        counted = np.cumsum(self.peaks)
        if not counted[-1]:
            return float("nan")
        place = int(np.searchsorted(counted, share * counted[-1]))
        return min(self.most, (place + 1) * self.step) if place < BINS - 1 else self.most


def wilson(count: int, samples: int, level: float = LEVEL) -> tuple[float, float]:
    """Two-sided interval of a share from a count.

    Source: E. B. Wilson, Probable inference, the law of succession, and statistical inference,
    Journal of the American Statistical Association 22, 1927, p. 209-212 (from memory).
    """
    z = NormalDist().inv_cdf(0.5 + level / 2.0)
    share, weight = count / samples, z * z / samples
    middle = (share + weight / 2.0) / (1.0 + weight)
    half = z * (share * (1.0 - share) / samples + weight / samples / 4.0) ** 0.5 / (1.0 + weight)
    return (max(0.0, middle - half) if count else 0.0), (
        min(1.0, middle + half) if count < samples else 1.0
    )


def input_spread(plan: Plan, *, seed: int = 1, samples: int = 100_000) -> InputSpread:
    """Margins first, then as many pours with inputs drawn as `[spread]` of the plan says.

    Where the plan states no spread nothing is drawn, and `samples` of the answer is zero. The same
    plan, seed and number of samples give the same counts. Raises Refusal as `check` does, and for a
    spread that reaches zero or of what the document does not ask for.
    """
    _refuse_number("samples", samples, 1, MOST_SAMPLES)
    _refuse_number("seed", seed, 0, 2**63)
    verdict = check(plan)
    shape = (plan.spread.shape if plan.spread else None) or NORMAL
    varied = _varied(verdict.case, shape)
    step = 2.0 * float(verdict.full.p_max) / BINS
    counts, peaks, most = np.zeros(4, np.int64), np.zeros(BINS, np.int64), 0.0
    if varied:
        pours = Pours(verdict.case, varied, REACH if shape == NORMAL else 1.0, samples)
        for start, units in _draws(varied, shape, seed, samples):
            if start < FIRST:
                found, peak = pours.judge(units)
                counts += np.bincount(found, minlength=4)
                bins = np.minimum(peak / step, BINS - 1.0).astype(np.int64)
                peaks += np.bincount(bins, minlength=BINS)
                most = max(most, float(peak.max(initial=0.0)))
                continue
            if start == FIRST:
                pours.sort()
            counts += pours.count(units)
        counts += pours.rest()
    _, over, doubtful, outside = map(int, counts)
    return InputSpread(verdict, margins(verdict), shape, varied, seed, int(counts.sum()),
                       over + doubtful, outside, doubtful, peaks, step, most)  # fmt: skip


def _varied(case: Case, shape: str) -> tuple[Varied, ...]:
    """The inputs with a spread, around what is expected or else what the plan gives."""
    spread, file = case.bare.spread, case.plan.file
    if spread is None:
        return ()
    found = []
    for term, place in PLACES.items():
        width, middle = getattr(spread, term), getattr(spread, f"expected_{term}")
        if width is None:
            continue
        if term == "rate" and case.rate is None:
            cure = f"Add {place}, or all that tells how the trucks fill the wall"
            raise Refusal("a spread of what the plan does not give", cure, file=file,
                          key="spread.rate")  # fmt: skip
        if term not in case.rule.terms:
            raise Refusal(f"{case.rule.document} does not ask for it", "Take it out", file=file,
                          key=f"spread.{term}")  # fmt: skip
        if middle is None:
            middle = case.rate if term == "rate" else case.given[term]
        least = middle - width * (3.0 if shape == NORMAL else 1.0)
        if term != "temperature" and least <= 0.0:
            raise Refusal("so wide that it reaches zero", "Give the width that was measured",
                          file=file, key=f"spread.{term}",
                          value=f"{getattr(case.plan.spread, term):~}")  # fmt: skip
        found.append(Varied(term, float(middle), float(width)))
    return tuple(found)


def _draws(
    varied: tuple[Varied, ...], shape: str, seed: int, samples: int
) -> Iterator[tuple[int, Floats]]:
    """Chunk by chunk: where it starts, and rows of how many widths each input lies from its middle.

    Each input has a stream of its own, so that the size of a chunk, or one spread more or less,
    does not change what is drawn for the others. The rows are written over by the next chunk.
    """
    seeds = dict(zip(PLACES, np.random.SeedSequence(seed).spawn(len(PLACES)), strict=True))
    streams = [np.random.Generator(np.random.PCG64(seeds[v.term])) for v in varied]
    whole = np.empty((len(varied), CHUNK))
    for start in range(0, samples, CHUNK):
        units = whole[:, : min(CHUNK, samples - start)]
        for row, stream in zip(units, streams, strict=True):
            if shape == NORMAL:
                stream.standard_normal(out=row)
            else:
                stream.random(out=row)
                row *= 2.0
                row -= 1.0
        yield start, units


def _refuse_number(key: str, value: object, least: int, most: int) -> None:
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
        raise Refusal("not a whole number that will do", f"Give one from {least} to {most}",
                      key=key, value=value)  # fmt: skip
