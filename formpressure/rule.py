"""The rule door: a pressure document's bare kernel becomes a rule called with quantities."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from formpressure import units
from formpressure.envelope import Envelope, Number
from formpressure.errors import OutOfRange, Refusal
from formpressure.records import Clause, Document, Range

CHOICES = {
    "element": ("wall", "column", "larger"),
    "vibration": ("internal", "external", "hammering", "rodding", "none"),
}
CHUNK = 1 << 16  # elements worked on at once, so that scratch arrays stay in the cache


@dataclass(frozen=True, slots=True)
class Allowed:
    """What a document allows for an allowable pressure: any rate, at most R, or no rate.

    The rate is the largest for which it and every lower one pass. `rate` is bare: infinity for
    "any", zero for "none".
    """

    kind: Literal["any", "at most", "none"]
    rate: float
    why: Clause | None = None


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule of one edition of a pressure document.

    `kernel(**bare)` returns `(p_max, branch, coefficients)` for arrays that broadcast; `inverse`
    takes the same names but `rate`, and `pressure`, all scalar. `terms` are the kernel's names;
    those found in data/terms.toml carry units, the others are choices or yes and no.
    """

    name: str
    document: Document
    system: str
    kernel: Callable[..., tuple[Number, Number, dict[str, Number]]]
    inverse: Callable[..., Allowed]
    clauses: tuple[Clause, ...]
    ranges: tuple[Range, ...]
    surge: Callable[..., float]
    is_column: Callable[..., bool]  # plan sides, bare -> True where the document says "column"

    @property
    def terms(self) -> tuple[str, ...]:
        return tuple(inspect.signature(self.kernel).parameters)

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
        for term, value in given.items():
            if term not in self.terms:
                known = ", ".join(self.terms)
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
        given = {
            name: bare.get(name, parameter.default)
            for name, parameter in inspect.signature(self.kernel).parameters.items()
        }
        p_max, branch, coefficients = self._in_chunks(given)
        return Envelope(self, given, p_max, branch, coefficients, self.surge(**given))

    def allowed_bare(self, pressure: float, **bare: Any) -> Allowed:
        """The inverse on bare scalars."""
        self._refuse_outside(bare)
        return self.inverse(pressure, **bare)

    def _refuse_outside(self, bare: Mapping[str, Any]) -> None:
        for limit in self.ranges:
            value = bare.get(limit.term)
            if value is None:
                continue
            inside = units.at_most(limit.least, value) & units.at_most(value, limit.most)
            if not np.all(inside):
                raise OutOfRange(
                    f"outside {limit.least:g} to {limit.most:g} "
                    f"{units.terms()[limit.term].unit[self.system]}, the range of {self.document}",
                    f"Ask the engineer for another method ({limit.clause})",
                    key=limit.term,
                    value=value if np.ndim(value) == 0 else "some elements",
                )

    def _in_chunks(self, given: dict[str, Any]) -> tuple[Number, Number, dict[str, Number]]:
        arrays = {k: v for k, v in given.items() if isinstance(v, np.ndarray) and v.ndim}
        shape = np.broadcast_shapes(*(a.shape for a in arrays.values())) if arrays else ()
        size = int(np.prod(shape)) if shape else 1
        if size <= CHUNK:
            p_max, branch, coefficients = self.kernel(**given)
            return (
                (p_max, branch, coefficients)
                if shape
                else (float(p_max), int(branch), coefficients)
            )
        flat = {k: np.broadcast_to(v, shape).reshape(-1) for k, v in arrays.items()}
        p_max, branch = np.empty(size), np.empty(size, dtype=np.int8)
        for start in range(0, size, CHUNK):
            part = slice(start, start + CHUNK)
            p_max[part], branch[part], _ = self.kernel(
                **{**given, **{k: v[part] for k, v in flat.items()}}
            )
        return p_max.reshape(shape), branch.reshape(shape), {}


class _Rules(Mapping[str, Rule]):
    """All rules by name. A module put into formpressure/pressure/ is found by its decorator."""

    def __init__(self) -> None:
        self._rules: dict[str, Rule] = {}
        self._searched = False

    def add(self, rule: Rule) -> None:
        self._rules[rule.name] = rule

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
    document: Document,
    system: str,
    clauses: tuple[Clause, ...],
    inverse: Callable[..., Allowed],
    ranges: tuple[Range, ...] = (),
    surge: Callable[..., float] = lambda **_: 1.0,
    is_column: Callable[..., bool] = lambda *_: False,
    name: str = "",
) -> Callable[[Callable[..., Any]], Rule]:
    """Decorator: make a bare kernel into a Rule and enter it in RULES under its own name."""

    def make(kernel: Callable[..., Any]) -> Rule:
        made = Rule(
            name or kernel.__name__, document, system, kernel, inverse, clauses, ranges, surge,
            is_column,
        )  # fmt: skip
        RULES.add(made)
        return made

    return make
