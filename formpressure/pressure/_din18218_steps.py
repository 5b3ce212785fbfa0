"""The arithmetic of `_din18218.pressure` line by line, with its numbers; sources: there."""

from __future__ import annotations

from collections.abc import Iterator

from formpressure.envelope import Envelope
from formpressure.pressure import _din18218 as din
from formpressure.pressure._steps import Text, Writer, number, tex
from formpressure.records import Step

GAMMA = Text(r"\gamma_c", "gamma")
LIQUID = {
    din.COLD: "din_cold", din.VIBRATED: "din_vibrated", din.DEEP: "din_deep",
    din.UNKNOWN: "unknown", din.FROM_BASE: "din_from_below",
}  # fmt: skip


def steps(envelope: Envelope) -> tuple[Step, ...]:
    """The calculation of one envelope; the last value is its own `own_p_max`."""
    return tuple(_Writer(envelope).write())


class _Writer(Writer):
    def write(self) -> Iterator[Step]:
        yield self.head_step(din.HEAD, GAMMA)
        if self.branch in LIQUID:
            yield self._liquid()
            return
        given, kind = self.given, self.given["consistency"]
        v, t, weight = given["rate"], max(given["setting_time"], din.SHORTEST), given["unit_weight"]
        K1 = float(self.envelope.coefficients["K1"])
        unset = float(din.unset_height(v, t))
        yield self.step("din_unset", din.EQUATION, [[
            Text("h_E", "hE"), Text(r"= v\, t_E", "= v tE"),
            Text(rf"= {tex(v)} \times {tex(t)}", f"= {number(v)} × {number(t)}"),
            self.amount(unset, "height"),
        ]], unset)  # fmt: skip
        ratio = Text(rf"\frac{{{tex(weight)}}}{{25}}", f"{number(weight)}/25")
        if kind == "SCC":
            p = float((1.0 + 0.26 * v * t) * weight)
            sides = [
                Text(r"= (1.0 + 0.26\, v\, t_E)\, \gamma_c", "= (1.0 + 0.26 v tE) gamma"),
                Text(rf"= (1.0 + 0.26 \times {tex(v)} \times {tex(t)}) \times {tex(weight)}",
                     f"= (1.0 + 0.26 × {number(v)} × {number(t)}) × {number(weight)}"),
            ]  # fmt: skip
        else:
            yield self.step("din_k1", din.EQUATION, [
                [Text("K_1", "K1"), Text(f"= {tex(K1)}", f"= {number(K1)}")]
            ], K1)  # fmt: skip
            slope, constant = din.line(kind, t)
            p = float((slope * v + constant) * weight / din.NORMAL)
            sides = self._class_sides(din.STIFF.get(kind), din.SOFT.get(kind), v, K1, ratio)
        place = din.SCC if kind == "SCC" else din.EQUATION
        yield self.step("din_equation", place, [[Text("p_1", "p1"), *sides, self.amount(p)]], p)
        least = din.LEAST[kind]
        raised = max(p, least)
        yield self.step("minimum", din.MINIMUM, [[
            Text("p_2", "p2"),
            Text(rf"= \max(p_1,\; {tex(least)})", f"= max(p1, {number(least)})"),
            Text(rf"= \max({tex(p)},\; {tex(least)})", f"= max({number(p)}, {number(least)})"),
            self.amount(raised),
        ]], raised)  # fmt: skip
        yield self.cap(din.HEAD, Text("p_2", "p2"), raised)

    def _class_sides(
        self, stiff: tuple[float, float] | None, soft: float | None, v: float, K1: float,
        ratio: Text,
    ) -> list[Text]:  # fmt: skip
        k = tex(K1)
        if stiff is not None:
            a, b = (number(x) for x in stiff)
            return [
                Text(rf"= ({a}\, v + {b})\, K_1\, \gamma_c / 25", f"= ({a} v + {b}) K1 gamma/25"),
                Text(rf"= ({a} \times {tex(v)} + {b}) \times {k} \times {ratio.tex}",
                     f"= ({a} × {number(v)} + {b}) × {number(K1)} × {ratio.plain}"),
            ]  # fmt: skip
        a = number(soft or 0.0)
        return [
            Text(rf"= (25 + {a}\, v\, K_1)\, \gamma_c / 25", f"= (25 + {a} v K1) gamma/25"),
            Text(rf"= (25 + {a} \times {tex(v)} \times {k}) \times {ratio.tex}",
                 f"= (25 + {a} × {number(v)} × {number(K1)}) × {ratio.plain}"),
        ]  # fmt: skip

    def _liquid(self) -> Step:
        lines = []
        if LIQUID[self.branch] == "din_cold":
            limit = self.given["setting_temperature"]
            lines = [self.compared("T", self.given["temperature"], "<", limit, "temperature")]
        return self.liquid(LIQUID[self.branch], lines)
