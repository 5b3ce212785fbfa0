"""The arithmetic of `ciria108_1985` line by line with its numbers. Sources and labels: there."""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt

from formpressure.envelope import Envelope
from formpressure.pressure._steps import Text, Writer, number, numeral, tex
from formpressure.records import Step

D = Text("D", "D")
LIQUID = (  # by branch
    "", "", "ciria_fast", "ciria_vibrated", "flowing", "unknown", "ciria_from_base",
)  # fmt: skip
HEAD, EQUATION, FAST = range(3)


def steps(envelope: Envelope) -> tuple[Step, ...]:
    """The calculation of one envelope; the last value is its own `own_p_max`."""
    return tuple(_Writer(envelope).write())


class _Writer(Writer):
    def write(self) -> Iterator[Step]:
        yield self.head_step(HEAD, D)
        if self.branch > FAST:
            yield self.liquid(LIQUID[self.branch])
            return
        rate, c = self.given["rate"], self.envelope.coefficients
        H = max(self.given["form_height"], self.given["height"])
        yield self._temperature()
        yield self._line("ciria_c1", Text("C_1", "C1"), [], c["C1"])
        yield self._line("ciria_c2", Text("C_2", "C2"), [], c["C2"])
        a = float(c["C1"] * sqrt(rate))
        symbols = Text(r"= C_1 \sqrt{R}", "= C1 sqrt(R)")
        numbers = Text(rf"= {tex(c['C1'])} \times \sqrt{{{tex(rate)}}}",
                       f"= {number(c['C1'])} × sqrt({number(rate)})")  # fmt: skip
        yield self.step("ciria_fluid", EQUATION, [
            [Text("a", "a"), symbols, numbers, self.amount(a, "height")]
        ], a)  # fmt: skip
        if self.branch == FAST:
            yield self.liquid("ciria_fast", [self.compared("a", a, ">", H, "height")])
            return
        weight, stiff = self.given["unit_weight"], float(c["C2"] * c["K"])
        p = float(weight * (a + stiff * sqrt(H - a)))
        yield self.step("ciria_equation", EQUATION, [[
            Text("p_1", "p1"),
            Text(r"= D \left(a + C_2 K \sqrt{H - a}\right)", "= D (a + C2 K sqrt(H − a))"),
            Text(rf"= {tex(weight)} \left({tex(a)} + {tex(c['C2'])} \times {tex(c['K'])} "
                 rf"\times \sqrt{{{tex(H)} - {tex(a)}}}\right)",
                 f"= {number(weight)} × ({number(a)} + {number(c['C2'])} × {number(c['K'])} "
                 f"× sqrt({number(H)} − {number(a)}))"),
            self.amount(p),
        ]], p)  # fmt: skip
        yield self.cap(HEAD, Text("p_1", "p1"), p)

    def _temperature(self) -> Step:
        warm = numeral(self.given["temperature"]).plus(numeral(16.0))
        sides = [
            Text(r"= \left(\frac{36}{T + 16}\right)^2", "= (36/(T + 16))²"),
            Text(rf"= \left(\frac{{36}}{{{warm.tex}}}\right)^2", f"= (36/({warm.plain}))²"),
        ]
        return self._line("ciria_k", Text("K", "K"), sides, float(self.envelope.coefficients["K"]))

    def _line(self, name: str, left: Text, sides: list[Text], value: float) -> Step:
        result = Text(f"= {tex(value)}", f"= {number(value)}")
        return self.step(name, EQUATION, [[left, *sides, result]], float(value))
