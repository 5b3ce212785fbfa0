"""The arithmetic of `_aci347.pressure` line by line with its numbers, to be done again by hand.

Same order, same clauses: liquid head, coefficients, equation, minimum, cap; or the reason why
liquid head is all there is. Every number comes from the envelope and from the same `Constants`;
symbols are those of the documents. Sources and labels: `_aci347`.
"""

from __future__ import annotations

from collections.abc import Iterator

from formpressure.envelope import Envelope
from formpressure.pressure import _aci347 as aci
from formpressure.pressure._steps import Text, Writer, number, numeral, tex
from formpressure.records import Step
from formpressure.units import TOLERANCE, at_most, below

# Branches that end at liquid head before any equation counts, and the sentence of each.
LIQUID = {
    aci.FAST: "fast", aci.WET: "wet", aci.VIBRATED: "vibrated", aci.FLOWING: "flowing",
    aci.UNKNOWN: "unknown", aci.FROM_BASE: "from_base",
}  # fmt: skip
DENSITY_UNIT = {"US": "pcf", "SI": "kg/m³"}  # in which the document weighs concrete for Cw


def steps(envelope: Envelope) -> tuple[Step, ...]:
    """The calculation of one envelope of this family; the last value is its own `own_p_max`."""
    return tuple(_Writer(envelope).write())


class _Writer(Writer):
    def __init__(self, envelope: Envelope) -> None:
        super().__init__(envelope)
        self.k = aci.INCH_POUND if envelope.system == "US" else aci.SI

    @property
    def cw(self) -> float:
        return float(self.envelope.coefficients["Cw"])

    @property
    def cc(self) -> float:
        return float(self.envelope.coefficients["Cc"])

    def write(self) -> Iterator[Step]:
        yield self.head_step(aci.HEAD)
        if self.branch == aci.FROM_BASE:
            yield self._from_base()
        elif self.branch in LIQUID:
            yield self._liquid()
        else:
            yield from self._limits()
            yield self._cw()
            yield self._cc()
            yield from self._equations()

    def _from_base(self) -> Step:
        p, surge = float(self.envelope.own_p_max), number(aci.SURGE)
        return self.step("from_base", aci.FROM_BASE, [[
            Text("p", "p"),
            Text(rf"= {surge}\, p_{{\text{{head}}}}", f"= {surge} p(head)"),
            Text(rf"= {surge} \times {tex(self.head)}", f"= {surge} × {number(self.head)}"),
            self.amount(p),
        ]], p)  # fmt: skip

    def _liquid(self) -> Step:
        """Liquid head, led by the comparison that asks for it where there is one."""
        over = {
            aci.FAST: ("rate", "R", "rate", self.k.fast),
            aci.WET: ("slump", "slump", "slump", self.k.slump),
            aci.VIBRATED: ("vibration_depth", "depth", "vibration_depth", self.k.vibration_depth),
        }.get(self.branch)
        lines = []
        if over and not (self.branch == aci.VIBRATED and self.given["vibration"] != "internal"):
            key, symbol, term, limit = over
            lines.append(self.compared(symbol, self.given[key], ">", limit, term))
        return self.liquid(LIQUID[self.branch], lines)

    def _limits(self) -> Iterator[Step]:
        slump, depth = self.given["slump"], self.given["vibration_depth"]
        yield self.step(
            "slump_within", aci.WET, [self.compared("slump", slump, "≤", self.k.slump, "slump")]
        )
        limit, term = self.k.vibration_depth, "vibration_depth"
        yield self.step(
            "vibration_within", aci.VIBRATED, [self.compared("depth", depth, "≤", limit, term)]
        )

    def _cw(self) -> Step:
        k, unit = self.k, DENSITY_UNIT[self.envelope.system]
        w = self.given["unit_weight"]
        weight, symbol, lines = w * k.weigh, Text("w", "w"), []
        if k.weigh != 1.0:  # the document weighs it as a mass
            symbol, g, shown = Text(r"\rho", "rho"), numeral(1000.0 / k.weigh), numeral(weight)
            lines.append([
                symbol, Text(r"= 1000\, w / g", "= 1000 w/g"),
                Text(rf"= 1000 \times {tex(w)} / {g.tex}", f"= 1000 × {number(w)}/{g.plain}"),
                Text(rf"= {shown.tex}\ \text{{{unit}}}", f"= {shown.plain} {unit}"),
            ])  # fmt: skip
        name, parts = "cw_normal", []
        ratios = [t.over(numeral(k.reference)) for t in (symbol, numeral(weight))]
        if below(weight, k.light):
            name = "cw_light"
            parts = [Text(rf"= \max\left(0.80,\; 0.5 \left(1 + {t.tex}\right)\right)",
                           f"= max(0.80, 0.5 × (1 + {t.plain}))") for t in ratios]  # fmt: skip
        elif not at_most(weight, k.heavy):
            name = "cw_heavy"
            parts = [Text(f"= {t.tex}", f"= {t.plain}") for t in ratios]
        result = Text(f"= {tex(self.cw)}", f"= {number(self.cw)}")
        lines.append([Text("C_w", "Cw"), *parts, result])
        return self.step(name, aci.EQUATION_B, lines, self.cw)

    def _cc(self) -> Step:
        line = [Text("C_c", "Cc"), Text(f"= {tex(self.cc)}", f"= {number(self.cc)}")]
        return self.step(self._cc_row(), aci.EQUATION_B, [line], self.cc)

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
            self.compared("R", self.given["rate"], "<", self.k.slow, "rate"),
            self.compared("h", self.given["height"], "≤", self.k.tall, "height"),
        ]
        return self.step("slow_and_low", aci.EQUATION_B, lines)

    def _fast_or_tall(self) -> Step:
        k, rate, height = self.k, self.given["rate"], self.given["height"]
        lines = []
        if not below(rate, k.slow):
            lines.append(self.compared("R", rate, "≥", k.slow, "rate"))
        if not at_most(height, k.tall):
            lines.append(self.compared("h", height, ">", k.tall, "height"))
        lines.append(self.compared("R", rate, "≤", k.fast, "rate"))
        return self.step("fast_or_tall", aci.EQUATION_C, lines)

    def _minimum_then_cap(self, governs: Step) -> Iterator[Step]:
        k, p, letter = self.k, float(governs.value or 0.0), governs.name[-1]
        least, equation = self.cw * k.minimum, Text(rf"p_{{({letter})}}", f"p({letter})")
        raised = max(p, least)
        yield self.step("minimum", aci.MINIMUM, [[
            Text("p_1", "p1"),
            Text(rf"= \max({equation.tex},\; {tex(k.minimum)}\, C_w)",
                  f"= max({equation.plain}, {number(k.minimum)} Cw)"),
            Text(rf"= \max({tex(p)},\; {tex(least)})", f"= max({number(p)}, {number(least)})"),
            self.amount(raised),
        ]], raised)  # fmt: skip
        yield self.cap(aci.HEAD, Text("p_1", "p1"), raised)

    def _b(self) -> Step:
        k, rate, warm = self.k, self.given["rate"], self._warm()
        symbols = numeral(k.rate_b).then("R").over(self._warm_symbol())
        numbers = numeral(k.rate_b).times(rate).over(numeral(warm))
        value = self.cw * self.cc * (k.base + k.rate_b * rate / warm)
        return self._equation("b", aci.EQUATION_B, symbols, numbers, value)

    def _c(self) -> Step:
        k, rate, warm = self.k, self.given["rate"], self._warm()
        symbol, below_line = self._warm_symbol(), numeral(warm)
        first = numeral(k.constant_c)
        symbols = first.over(symbol).plus(numeral(k.rate_c).then("R").over(symbol))
        numbers = first.over(below_line).plus(numeral(k.rate_c).times(rate).over(below_line))
        value = self.cw * self.cc * (k.base + (k.constant_c + k.rate_c * rate) / warm)
        return self._equation("c", aci.EQUATION_C, symbols, numbers, value)

    def _equation(
        self, letter: str, place: int, symbols: Text, numbers: Text, value: float
    ) -> Step:
        k, cw, cc = self.k, numeral(self.cw), numeral(self.cc)
        symbols, numbers = numeral(k.base).plus(symbols), numeral(k.base).plus(numbers)
        lines = [[
            Text(f"p_{{({letter})}}", f"p({letter})"),
            Text(rf"= C_w C_c \left({symbols.tex}\right)", f"= Cw Cc ({symbols.plain})"),
            Text(rf"= {cw.tex} \times {cc.tex} \left({numbers.tex}\right)",
                  f"= {cw.plain} × {cc.plain} × ({numbers.plain})"),
            self.amount(value),
        ]]  # fmt: skip
        return self.step(f"equation_{letter}", place, lines, value)

    def _temperature(self) -> Step:
        total = numeral(self.given["temperature"]).plus(numeral(self.k.zero))
        left = Text("T", "T").plus(numeral(self.k.zero))
        line = [left, Text(f"= {total.tex}", f"= {total.plain}")]
        line.append(Text(f"= {tex(self._warm())}", f"= {number(self._warm())}"))
        return self.step("temperature", aci.EQUATION_B, [line], self._warm())

    def _warm(self) -> float:
        """What the equations divide by."""
        return float(self.given["temperature"] + self.k.zero)

    def _warm_symbol(self) -> Text:
        symbol = Text("T", "T")
        if not self.k.zero:
            return symbol
        total = symbol.plus(numeral(self.k.zero))
        return Text(total.tex, f"({total.plain})")
