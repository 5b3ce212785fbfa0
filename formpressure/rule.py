"""The rule door: a pressure document's bare kernel becomes a rule called with quantities."""

from __future__ import annotations

import functools
import importlib
import inspect
import math
import pkgutil
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from formpressure import units
from formpressure.envelope import Envelope, Number
from formpressure.errors import OutOfRange, Refusal
from formpressure.records import Clause, Document, Range, Step

CHOICES = {
    "element": ("wall", "column", "larger"),
    "vibration": ("internal", "external", "hammering", "rodding", "none"),
    "consistency": ("F1", "F2", "F3", "F4", "F5", "F6", "SCC"),
}
HEAD_TERMS = ("height", "unit_weight", "element", "self_consolidating", "from_base")
# What can bring full liquid head in any document; a kernel that does not name it never hears of it.
HEEDED = (("from_base",), ("vibration",), ("self_consolidating", "consistency"))
CHUNK = 1 << 16  # elements worked on at once, so that scratch arrays stay in the cache


@dataclass(frozen=True, slots=True)
class Allowed:
    """What a document allows for an allowable pressure: any rate, at most R, or no rate.

    `rate` is bare, the largest for which it and every lower one pass: infinity for "any", zero for
    "none"; a scalar or an array. `branch` tells the clause that sets it, as in an Envelope.
    """

    rate: Number
    branch: Number
    clauses: tuple[Clause, ...]

    @property
    def kind(self) -> Literal["any", "at most", "none"]:
        """In words, for a scalar."""
        if self.rate == np.inf:
            return "any"
        return "at most" if self.rate > 0.0 else "none"

    @property
    def why(self) -> Clause:
        """The clause that sets it, for a scalar."""
        return self.clauses[int(self.branch)]


Mix = tuple[str, dict[str, Any]]  # a name for it, and what it changes among the rule's inputs


@functools.cache
def _defaults(kernel: Callable[..., Any]) -> dict[str, Any]:
    """The kernel's input names in order, with what a missing one counts as."""
    return {name: p.default for name, p in inspect.signature(kernel).parameters.items()}


def _no_surge(**_: Any) -> float:
    return 1.0


def _never(*_: float) -> bool:
    return False


def _no_limits(**_: Any) -> tuple[Any, ...]:
    return ()


def _no_steps(_: Envelope) -> tuple[Step, ...]:
    return ()


def mix_and_worse(planned: float, rows: Iterable[float]) -> tuple[Mix, ...]:
    """The mix as planned, and the rows of the document's coefficient that are worse, rising."""
    worse = [row for row in rows if row > planned + units.TOLERANCE]
    names = ("as_planned", *("next_worse", "worst")[2 - len(worse) :])
    return tuple((n, {"chemistry": c}) for n, c in zip(names, (planned, *worse), strict=True))


def _as_planned(**_: Any) -> tuple[Mix, ...]:
    return (("as_planned", {}),)


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule of one edition of a pressure document.

    `kernel(**bare)` returns `(p_max, branch, coefficients)` for arrays that broadcast; `inverse`
    takes `pressure` and the same names but `rate`, and returns `(rate, branch)`. `terms` are the
    kernel's names; those found in data/terms.toml carry units, the others are choices or yes and
    no.
    """

    name: str
    document: Document
    system: str
    kernel: Callable[..., tuple[Number, Number, dict[str, Number]]]
    inverse: Callable[..., tuple[Number, Number]]
    clauses: tuple[Clause, ...]
    ranges: tuple[Range, ...] = ()
    surge: Callable[..., float] = _no_surge
    is_column: Callable[..., bool] = _never  # plan sides, bare
    side_of_limits: Callable[..., tuple[Any, ...]] = _no_limits
    rate_limits: tuple[float, ...] = ()  # rates at which the equation changes
    mixes: Callable[..., tuple[Mix, ...]] = _as_planned  # this mix and the worse ones
    mix_symbol: str = ""  # what the document calls the coefficient that `mixes` changes
    needs: tuple[str, ...] = ()  # inputs without which full liquid head is all it can say
    usual_weight: str = ""  # what the document takes for normal concrete; blank: ACI's
    symbols: str = ""  # sentence of the table that explains the symbols of `steps`
    partial_factor: float | None = None  # on its pressure, where it compares design values
    partial_clause: Clause | None = None  # of that factor
    steps: Callable[[Envelope], tuple[Step, ...]] = _no_steps  # the arithmetic, for reports

    @property
    def terms(self) -> tuple[str, ...]:
        return tuple(_defaults(self.kernel))

    def __call__(self, **given: Any) -> Envelope:
        """Envelope for quantities or text, by keyword; what is left out counts as unknown.

        Raises Refusal for a bare number or an unknown name, OutOfRange outside `ranges`.
        """
        return self.envelope(**self.enter(given))

    def allowed(self, pressure: Any, **given: Any) -> Allowed:
        """The rates that keep the largest pressure at or under `pressure`."""
        bare = self.enter(given)
        bare.pop("rate", None)
        return self.allowed_bare(units.enter("pressure", pressure, self.system), **bare)

    def enter(self, given: Mapping[str, Any]) -> dict[str, Any]:
        """Quantities and choices by keyword -> the kernel's bare arguments."""
        bare: dict[str, Any] = {}
        names = self.terms
        for term, value in given.items():
            if term not in names:
                known = ", ".join(names)
                raise Refusal("not an input of this rule", f"Use {known}", key=term, value=value)
            if value is not None and value not in CHOICES.get(term, (value,)):
                cure = f"Use {', '.join(CHOICES[term])}"
                raise Refusal("not one of its choices", cure, key=term, value=value)
            quantity = value is not None and term in units.terms()
            bare[term] = units.enter(term, value, self.system) if quantity else value
        return bare

    def envelope(self, **bare: Any) -> Envelope:
        """Envelope from bare inputs in the rule's own units."""
        self._refuse_outside(bare)
        given = {**_defaults(self.kernel), **bare}
        p_max, branch, coefficients = self._in_chunks(given)
        return Envelope(self, given, p_max, branch, coefficients, self.surge(**given))

    def liquid_head(self, **bare: Any) -> Envelope:
        """Full liquid head, whatever else is known; it needs no range of the document."""
        given = {**_defaults(self.kernel), **{k: v for k, v in bare.items() if k in HEAD_TERMS}}
        p_max, branch, coefficients = self._in_chunks(given)
        return Envelope(self, given, p_max, branch, coefficients, self.surge(**given))

    def allowed_bare(self, pressure: Number, **bare: Any) -> Allowed:
        """The inverse on bare numbers; arrays broadcast."""
        self._refuse_outside(bare)
        return Allowed(*self.inverse(pressure, **bare), self.clauses)

    def outside(self, bare: Mapping[str, Any]) -> Iterator[OutOfRange]:
        """Every range of the document that these inputs are outside of, as a refusal."""
        for limit in self.ranges:
            value = bare.get(limit.term)
            if value is None or not limit.concerns(bare):
                continue
            if limit.only:
                inside, bounds = value in limit.only, f"not {_either(limit.only)}"
            else:
                values = np.asarray(value, float)
                low, high = values.min(initial=np.inf), values.max(initial=-np.inf)
                inside = units.at_most(limit.least, low) and units.at_most(high, limit.most)
                unit = units.terms()[limit.term].unit[self.system]
                bounds = f"outside {limit.least:.3g} to {limit.most:.3g} {unit}"
            if not inside:
                yield OutOfRange(
                    f"{bounds}, the range of {self.document}",
                    f"Ask the engineer for another method ({limit.clause})",
                    key=limit.term,
                    value=value if np.ndim(value) == 0 else "some elements",
                )

    def _refuse_outside(self, bare: Mapping[str, Any]) -> None:
        for refusal in self.outside(bare):
            raise refusal

    def _in_chunks(self, given: dict[str, Any]) -> tuple[Number, Number, dict[str, Number]]:
        """The kernel on slices of the first axis; arrays that stay one long on it stay small."""
        arrays = {k: v for k, v in given.items() if getattr(v, "ndim", 0)}
        shape = np.broadcast_shapes(*(a.shape for a in arrays.values()))
        size = math.prod(shape)
        if size <= CHUNK:
            p_max, branch, coefficients = self.kernel(**given)
            if not shape:
                return float(p_max), int(branch), coefficients
            return p_max, branch, coefficients
        full = {k: v.reshape((1,) * (len(shape) - v.ndim) + v.shape) for k, v in arrays.items()}
        p_max, branch = np.empty(shape), np.empty(shape, dtype=np.int8)
        rows = max(1, CHUNK * shape[0] // size)
        for start in range(0, shape[0], rows):
            part = slice(start, start + rows)
            sliced = {k: v[part] if len(v) > 1 else v for k, v in full.items()}
            p_max[part], branch[part], _ = self.kernel(**{**given, **sliced})
        return p_max, branch, {}


def _either(choices: tuple[Any, ...]) -> str:
    words = {True: "yes", False: "no"}
    return " or ".join(words.get(c, str(c)) if isinstance(c, bool) else str(c) for c in choices)


class _Rules(Mapping[str, Rule]):
    """All rules by name. A module put into formpressure/pressure/ is found by its decorator."""

    def __init__(self) -> None:
        self._rules: dict[str, Rule] = {}
        self._searched = False

    def add(self, rule: Rule) -> None:
        self._rules[rule.name] = rule

    def find(self, document: str, system: str) -> Rule | None:
        """The rule of a document in a unit system, or None."""
        same = (rule for rule in self.values() if str(rule.document) == document)
        return next((rule for rule in same if rule.system == system), None)

    def _search(self) -> None:
        if not self._searched:
            package = importlib.import_module("formpressure.pressure")
            for module in pkgutil.iter_modules(package.__path__):
                importlib.import_module(f"formpressure.pressure.{module.name}")
            self._searched = True

    def __getitem__(self, name: str) -> Rule:
        if name not in self._rules:
            self._search()
        return self._rules[name]

    def __iter__(self) -> Iterator[str]:
        self._search()
        return iter(sorted(self._rules))

    def __len__(self) -> int:
        self._search()
        return len(self._rules)


RULES = _Rules()


def pressure_rule(
    document: Document, system: str, clauses: tuple[Clause, ...],
    inverse: Callable[..., tuple[Number, Number]], *, name: str = "", **more: Any,
) -> Callable[[Callable[..., Any]], Rule]:  # fmt: skip
    """Decorator: make a bare kernel into a Rule and enter it in RULES under its own name.

    `more` are further fields of Rule, such as `ranges`. Raises TypeError for a kernel that does not
    take one of each of `HEEDED`.
    """

    def make(kernel: Callable[..., Any]) -> Rule:
        for names in HEEDED:
            if not any(name in _defaults(kernel) for name in names):
                raise TypeError(f"{kernel.__name__} must take {' or '.join(names)}")
        made = Rule(name or kernel.__name__, document, system, kernel, inverse, clauses, **more)
        RULES.add(made)
        return made

    return make
