"""What the written-out arithmetic of every pressure document shares: one line as TeX and as plain
text, numbers to four digits, comparisons with a limit.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, log10

import numpy as np

from formpressure.envelope import Envelope
from formpressure.records import Step
from formpressure.units import terms

TEX_MARK = {"=": "=", "<": r"\lt", ">": r"\gt", "≤": r"\le", "≥": r"\ge"}


@dataclass(frozen=True, slots=True)
class Text:
    """One side of a relation, as TeX and as plain text."""

    tex: str
    plain: str

    def then(self, symbol: str) -> Text:
        return Text(rf"{self.tex}\, {symbol}", f"{self.plain} {symbol}")

    def times(self, bare: float) -> Text:
        return Text(rf"{self.tex} \times {tex(bare)}", f"{self.plain} × {number(bare)}")

    def plus(self, other: Text) -> Text:
        return Text(f"{self.tex} + {other.tex}", f"{self.plain} + {other.plain}")

    def over(self, other: Text) -> Text:
        return Text(rf"\frac{{{self.tex}}}{{{other.tex}}}", f"{self.plain}/{other.plain}")


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


def numeral(bare: float) -> Text:
    """A number as both."""
    return Text(tex(bare), number(bare))


W = Text("w", "w")


class Writer:
    """Base of a document's writer of steps for one envelope."""

    def __init__(self, envelope: Envelope) -> None:
        if np.ndim(envelope.own_p_max):
            raise ValueError("steps are written for a single case, not for arrays")
        self.envelope, self.given = envelope, envelope.given
        self.branch = int(envelope.branch)
        self.head = float(self.given["unit_weight"] * self.given["height"])

    def step(
        self, name: str, place: int, lines: list[list[Text]], value: float | None = None
    ) -> Step:
        """Relations of each line are set one under the other in TeX, after one another in plain."""
        rows = []
        for left, first, *others in lines:
            rows.append(f"{left.tex} &{first.tex}")
            rows += [f"&{other.tex}" for other in others]
        plain = "; ".join(" ".join(t.plain for t in line) for line in lines)
        tex = r"\begin{aligned} " + r" \\ ".join(rows) + r" \end{aligned}"
        return Step(name, tex, plain, self.envelope.rule.clauses[place], value)

    def amount(self, bare: float, term: str = "pressure", mark: str = "=") -> Text:
        unit = terms()[term].unit[self.envelope.system]
        return Text(
            rf"{TEX_MARK[mark]} {tex(bare)}\ \text{{{unit}}}", f"{mark} {number(bare)} {unit}"
        )

    def compared(self, symbol: str, value: float, mark: str, limit: float, term: str) -> list[Text]:
        left = symbol if len(symbol) == 1 else rf"\text{{{symbol}}}"
        bound = self.amount(limit, term, mark)
        shown = Text(rf"= {tex(value)} {bound.tex}", f"= {number(value)} {bound.plain}")
        return [Text(left, symbol), shown]

    def head_step(self, place: int, weight: Text = W) -> Step:
        """Full liquid head; `weight` is the document's symbol of the unit weight."""
        w, h = self.given["unit_weight"], self.given["height"]
        return self.step("head", place, [[
            Text(r"p_{\text{head}}", "p(head)"),
            Text(rf"= {weight.tex}\, h", f"= {weight.plain} h"),
            Text(rf"= {tex(w)} \times {tex(h)}", f"= {number(w)} × {number(h)}"),
            self.amount(self.head),
        ]], self.head)  # fmt: skip

    def liquid(self, name: str, lines: list[list[Text]] | None = None) -> Step:
        """Liquid head is all there is, led by the comparison that asks for it."""
        p = float(self.envelope.own_p_max)
        head = [Text("p", "p"), Text(r"= p_{\text{head}}", "= p(head)"), self.amount(p)]
        return self.step(name, self.branch, [*(lines or []), head], p)

    def cap(self, place: int, before: Text, p: float) -> Step:
        """Never over full liquid head."""
        capped = min(p, self.head)
        return self.step("cap", place, [[
            Text("p", "p"),
            Text(rf"= \min({before.tex},\; p_{{\text{{head}}}})",
                 f"= min({before.plain}, p(head))"),
            Text(rf"= \min({tex(p)},\; {tex(self.head)})",
                 f"= min({number(p)}, {number(self.head)})"),
            self.amount(capped),
        ]], capped)  # fmt: skip
