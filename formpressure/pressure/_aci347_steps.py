"""The arithmetic of `_aci347.pressure` line by line with its numbers, to be done again by hand.

Same order, same clauses: liquid head, coefficients, equation, minimum, cap; or the reason why
liquid head is all there is. Every number comes from the envelope and from the same `Constants`;
symbols are those of the documents. Sources and labels: `_aci347`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import floor, log10

import numpy as np

from formpressure.envelope import Envelope
from formpressure.pressure import _aci347 as aci
from formpressure.records import Step
from formpressure.units import TOLERANCE, at_most, below, terms

# Branches that end at liquid head before any equation counts, and the sentence of each.
LIQUID = {
    aci.FAST: "fast", aci.WET: "wet", aci.VIBRATED: "vibrated", aci.FLOWING: "flowing",
    aci.UNKNOWN: "unknown", aci.FROM_BASE: "from_base",
}  # fmt: skip
DENSITY_UNIT = {"US": "pcf", "SI": "kg/m³"}  # in which the document weighs concrete for Cw


def steps(envelope: Envelope) -> tuple[Step, ...]:
    """The calculation of one envelope of this family; the last value is its own `own_p_max`."""
    if np.ndim(envelope.own_p_max):
        raise ValueError("steps are written for a single case, not for arrays")
    return tuple(_Writer(envelope).write())


@dataclass(frozen=True, slots=True)
class _Text:
    """One side of a relation, as TeX and as plain text."""

    tex: str
    plain: str

    def then(self, symbol: str) -> _Text:
        return _Text(rf"{self.tex}\, {symbol}", f"{self.plain} {symbol}")

    def times(self, bare: float) -> _Text:
        return _Text(rf"{self.tex} \times {tex(bare)}", f"{self.plain} × {number(bare)}")

    def plus(self, other: _Text) -> _Text:
        return _Text(f"{self.tex} + {other.tex}", f"{self.plain} + {other.plain}")

    def over(self, other: _Text) -> _Text:
        return _Text(rf"\frac{{{self.tex}}}{{{other.tex}}}", f"{self.plain}/{other.plain}")


class _Writer:
    def __init__(self, envelope: Envelope) -> None:
        self.envelope, self.given = envelope, envelope.given
        self.k = aci.INCH_POUND if envelope.system == "US" else aci.SI
        self.branch = int(envelope.branch)
        self.cw = float(envelope.coefficients.get("Cw", 1.0))
        self.cc = float(envelope.coefficients.get("Cc", 1.0))
        self.head = self.given["unit_weight"] * self.given["height"]

    def write(self) -> Iterator[Step]:
        yield self._head()
        if self.branch == aci.FROM_BASE:
            yield self._from_base()
        elif self.branch in LIQUID:
            yield self._liquid()
        else:
            yield from self._limits()
            yield self._cw()
            yield self._cc()
            yield from self._equations()

    def _step(
        self, name: str, place: int, lines: list[list[_Text]], value: float | None = None
    ) -> Step:
        """Relations of each line are set one under the other in TeX, after one another in plain."""
        rows = []
        for left, first, *others in lines:
            rows.append(f"{left.tex} &{first.tex}")
            rows += [f"&{other.tex}" for other in others]
        plain = "; ".join(" ".join(t.plain for t in line) for line in lines)
        tex = r"\begin{aligned} " + r" \\ ".join(rows) + r" \end{aligned}"
        return Step(name, tex, plain, self.envelope.rule.clauses[place], value)

    def _amount(self, bare: float, term: str = "pressure", mark: str = "=") -> _Text:
        unit = terms()[term].unit[self.envelope.system]
        return _Text(
            rf"{TEX_MARK[mark]} {tex(bare)}\ \text{{{unit}}}", f"{mark} {number(bare)} {unit}"
        )

    def _head(self) -> Step:
        w, h = self.given["unit_weight"], self.given["height"]
        return self._step("head", aci.HEAD, [[
            _Text(r"p_{\text{head}}", "p(head)"), _Text(r"= w\, h", "= w h"),
            _Text(rf"= {tex(w)} \times {tex(h)}", f"= {number(w)} × {number(h)}"),
            self._amount(self.head),
        ]], self.head)  # fmt: skip

    def _from_base(self) -> Step:
        p, surge = float(self.envelope.own_p_max), number(aci.SURGE)
        return self._step("from_base", aci.FROM_BASE, [[
            _Text("p", "p"),
            _Text(rf"= {surge}\, p_{{\text{{head}}}}", f"= {surge} p(head)"),
            _Text(rf"= {surge} \times {tex(self.head)}", f"= {surge} × {number(self.head)}"),
            self._amount(p),
        ]], p)  # fmt: skip

    def _liquid(self) -> Step:
        """Liquid head, led by the comparison that asks for it where there is one."""
        p = float(self.envelope.own_p_max)
        over = {
            aci.FAST: ("rate", "R", "rate", self.k.fast),
            aci.WET: ("slump", "slump", "slump", self.k.slump),
            aci.VIBRATED: ("vibration_depth", "depth", "vibration_depth", self.k.vibration_depth),
        }.get(self.branch)
        lines = []
        if over and not (self.branch == aci.VIBRATED and self.given["vibration"] != "internal"):
            key, symbol, term, limit = over
            lines.append(self._compared(symbol, self.given[key], ">", limit, term))
        head = _Text(r"= p_{\text{head}}", "= p(head)")
        lines.append([_Text("p", "p"), head, self._amount(p)])
        return self._step(LIQUID[self.branch], self.branch, lines, p)

    def _compared(
        self, symbol: str, value: float, mark: str, limit: float, term: str
    ) -> list[_Text]:
        left = symbol if len(symbol) == 1 else rf"\text{{{symbol}}}"
        bound = self._amount(limit, term, mark)
        shown = _Text(rf"= {tex(value)} {bound.tex}", f"= {number(value)} {bound.plain}")
        return [_Text(left, symbol), shown]

    def _limits(self) -> Iterator[Step]:
        slump, depth = self.given["slump"], self.given["vibration_depth"]
        yield self._step(
            "slump_within", aci.WET, [self._compared("slump", slump, "≤", self.k.slump, "slump")]
        )
        limit, term = self.k.vibration_depth, "vibration_depth"
        yield self._step(
            "vibration_within", aci.VIBRATED, [self._compared("depth", depth, "≤", limit, term)]
        )

    def _cw(self) -> Step:
        k, unit = self.k, DENSITY_UNIT[self.envelope.system]
        w = self.given["unit_weight"]
        weight, symbol, lines = w * k.weigh, _Text("w", "w"), []
        if k.weigh != 1.0:  # the document weighs it as a mass
            symbol, g, shown = _Text(r"\rho", "rho"), _number(1000.0 / k.weigh), _number(weight)
            lines.append([
                symbol, _Text(r"= 1000\, w / g", "= 1000 w/g"),
                _Text(rf"= 1000 \times {tex(w)} / {g.tex}", f"= 1000 × {number(w)}/{g.plain}"),
                _Text(rf"= {shown.tex}\ \text{{{unit}}}", f"= {shown.plain} {unit}"),
            ])  # fmt: skip
        name, parts = "cw_normal", []
        ratios = [t.over(_number(k.reference)) for t in (symbol, _number(weight))]
        if below(weight, k.light):
            name = "cw_light"
            parts = [_Text(rf"= \max\left(0.80,\; 0.5 \left(1 + {t.tex}\right)\right)",
                           f"= max(0.80, 0.5 × (1 + {t.plain}))") for t in ratios]  # fmt: skip
        elif not at_most(weight, k.heavy):
            name = "cw_heavy"
            parts = [_Text(f"= {t.tex}", f"= {t.plain}") for t in ratios]
        result = _Text(f"= {tex(self.cw)}", f"= {number(self.cw)}")
        lines.append([_Text("C_w", "Cw"), *parts, result])
        return self._step(name, aci.EQUATION_B, lines, self.cw)

    def _cc(self) -> Step:
        line = [_Text("C_c", "Cc"), _Text(f"= {tex(self.cc)}", f"= {number(self.cc)}")]
        return self._step(self._cc_row(), aci.EQUATION_B, [line], self.cc)

    def _cc_row(self) -> str:
        """Which row of the coefficient table it is; the order of `chemistry_coefficient`."""
        g = self.given
        if g["chemistry"] is not None:
            return "cc_given"
        if g["fly_ash"] is None or g["slag"] is None:
            return "cc_unknown"
        if g["fly_ash"] / 40.0 + g["slag"] / 70.0 >= 1.0 - TOLERANCE:
            return "cc_blend"
        plain = g["cement"] in aci.PLAIN_CEMENTS and g["fly_ash"] == 0.0 and g["slag"] == 0.0
        retarded = g["retarder"] is None or g["retarder"]
        return f"cc_{'plain' if plain else 'other'}{'_retarded' if retarded else ''}"

    def _equations(self) -> Iterator[Step]:
        k, rate, height = self.k, self.given["rate"], self.given["height"]
        element = self.given["element"]
        b, c = self._b(), self._c()
        slow = bool(below(rate, k.slow) & at_most(height, k.tall))
        used = [c, b] if element == "larger" else [c]
        if element == "column" or slow:
            used = [b]
        if element != "column":
            yield self._slow_and_low() if slow else self._fast_or_tall()
        if k.zero:
            yield self._temperature()
        yield from used
        yield from self._minimum_then_cap(max(used, key=lambda step: step.value or 0.0))

    def _slow_and_low(self) -> Step:
        lines = [
            self._compared("R", self.given["rate"], "<", self.k.slow, "rate"),
            self._compared("h", self.given["height"], "≤", self.k.tall, "height"),
        ]
        return self._step("slow_and_low", aci.EQUATION_B, lines)

    def _fast_or_tall(self) -> Step:
        k, rate, height = self.k, self.given["rate"], self.given["height"]
        lines = []
        if not below(rate, k.slow):
            lines.append(self._compared("R", rate, "≥", k.slow, "rate"))
        if not at_most(height, k.tall):
            lines.append(self._compared("h", height, ">", k.tall, "height"))
        lines.append(self._compared("R", rate, "≤", k.fast, "rate"))
        return self._step("fast_or_tall", aci.EQUATION_C, lines)

    def _minimum_then_cap(self, governs: Step) -> Iterator[Step]:
        k, p, letter = self.k, float(governs.value or 0.0), governs.name[-1]
        least, equation = self.cw * k.minimum, _Text(rf"p_{{({letter})}}", f"p({letter})")
        raised = max(p, least)
        yield self._step("minimum", aci.MINIMUM, [[
            _Text("p_1", "p1"),
            _Text(rf"= \max({equation.tex},\; {tex(k.minimum)}\, C_w)",
                  f"= max({equation.plain}, {number(k.minimum)} Cw)"),
            _Text(rf"= \max({tex(p)},\; {tex(least)})", f"= max({number(p)}, {number(least)})"),
            self._amount(raised),
        ]], raised)  # fmt: skip
        capped = min(raised, self.head)
        yield self._step("cap", aci.HEAD, [[
            _Text("p", "p"),
            _Text(r"= \min(p_1,\; p_{\text{head}})", "= min(p1, p(head))"),
            _Text(rf"= \min({tex(raised)},\; {tex(self.head)})",
                  f"= min({number(raised)}, {number(self.head)})"),
            self._amount(capped),
        ]], capped)  # fmt: skip

    def _b(self) -> Step:
        k, rate, warm = self.k, self.given["rate"], self._warm()
        symbols = _number(k.rate_b).then("R").over(self._warm_symbol())
        numbers = _number(k.rate_b).times(rate).over(_number(warm))
        value = self.cw * self.cc * (k.base + k.rate_b * rate / warm)
        return self._equation("b", aci.EQUATION_B, symbols, numbers, value)

    def _c(self) -> Step:
        k, rate, warm = self.k, self.given["rate"], self._warm()
        symbol, below_line = self._warm_symbol(), _number(warm)
        first = _number(k.constant_c)
        symbols = first.over(symbol).plus(_number(k.rate_c).then("R").over(symbol))
        numbers = first.over(below_line).plus(_number(k.rate_c).times(rate).over(below_line))
        value = self.cw * self.cc * (k.base + (k.constant_c + k.rate_c * rate) / warm)
        return self._equation("c", aci.EQUATION_C, symbols, numbers, value)

    def _equation(
        self, letter: str, place: int, symbols: _Text, numbers: _Text, value: float
    ) -> Step:
        k, cw, cc = self.k, _number(self.cw), _number(self.cc)
        symbols, numbers = _number(k.base).plus(symbols), _number(k.base).plus(numbers)
        lines = [[
            _Text(f"p_{{({letter})}}", f"p({letter})"),
            _Text(rf"= C_w C_c \left({symbols.tex}\right)", f"= Cw Cc ({symbols.plain})"),
            _Text(rf"= {cw.tex} \times {cc.tex} \left({numbers.tex}\right)",
                  f"= {cw.plain} × {cc.plain} × ({numbers.plain})"),
            self._amount(value),
        ]]  # fmt: skip
        return self._step(f"equation_{letter}", place, lines, value)

    def _temperature(self) -> Step:
        total = _number(self.given["temperature"]).plus(_number(self.k.zero))
        left = _Text("T", "T").plus(_number(self.k.zero))
        line = [left, _Text(f"= {total.tex}", f"= {total.plain}")]
        line.append(_Text(f"= {tex(self._warm())}", f"= {number(self._warm())}"))
        return self._step("temperature", aci.EQUATION_B, [line], self._warm())

    def _warm(self) -> float:
        """What the equations divide by."""
        return float(self.given["temperature"] + self.k.zero)

    def _warm_symbol(self) -> _Text:
        symbol = _Text("T", "T")
        if not self.k.zero:
            return symbol
        total = symbol.plus(_number(self.k.zero))
        return _Text(total.tex, f"({total.plain})")


TEX_MARK = {"=": "=", "<": r"\lt", ">": r"\gt", "≤": r"\le", "≥": r"\ge"}


def number(bare: float) -> str:
    """At least four digits, to the nearest; a comma for thousands, no idle zeros.

    >>> number(43400), number(749.96), number(23.53596), number(4)
    ('43,400', '750', '23.54', '4')
    """
    digits = max(0, 3 - floor(log10(abs(bare)))) if bare else 0
    text = f"{bare:,.{max(digits, 1)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def tex(bare: float) -> str:
    """The same number for TeX, where a bare comma would be a list."""
    return number(bare).replace(",", "{,}")


def _number(bare: float) -> _Text:
    return _Text(tex(bare), number(bare))
