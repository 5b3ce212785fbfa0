"""The layout in sentences: verdict first, then the set-out list, the stock and the ties."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import PurePath
from typing import Any

from formpressure.job.layout import JOINTS
from formpressure.job.set_out import FAR_CORNER, Group, Line, SetOut, set_out
from formpressure.records import Amount
from formpressure.report.text import WIDTH, two_lines
from formpressure.report.words import Shown, say
from formpressure.tie_schedule import Tie, TieSchedule
from formpressure.units import enter, leave, terms
from formpressure.wall_path import CORNERS, RUN, tape


@dataclass(frozen=True, slots=True)
class LayoutWords:
    """Every sentence of one layout; lines, lists and tables are made of them elsewhere."""

    schedule: TieSchedule
    language: str = "en"

    def say(self, name: str, /, **facts: Any) -> str:
        return say("layout", name, self.language, **facts)

    def tape(self, length: Fraction) -> str:
        return tape(length, self.schedule.layout.path.system)

    def width(self, length: Fraction) -> str:
        """The width of a piece, said in inches as crews do: 16 in, 24 in."""
        inches = length * 12
        if self.schedule.layout.path.system == "SI" or inches.denominator > 1:
            return self.tape(length)
        return f"{inches} in"

    def face(self, name: str) -> str:
        return self.say(f"face_{name}")

    def amount(self, term: str, bare: float) -> Amount:
        return Amount(term, float(bare), self.schedule.verdict.case.rule.system)

    @property
    def title(self) -> str:
        plan = self.schedule.verdict.plan
        return f"{self.say('title')}: {plan.title or PurePath(plan.file).stem}"

    @property
    def volume(self) -> float:
        """The concrete as trucks are ordered, in the volumes of the rule."""
        path, system = self.schedule.layout.path, self.schedule.verdict.case.rule.system
        cubic = leave("length", 1.0, path.system) ** 3 * float(path.volume)
        return float(enter("volume", cubic, system))

    def summary(self) -> list[str]:
        """What was found for the wall as a whole."""
        layout = self.schedule.layout
        path = layout.path
        proof = "proved" if layout.proved else "not_proved"
        volume = self.amount("volume", self.volume)
        outside, inside = path.corners
        lines = [
            self.say(proof, pieces=layout.pieces, cuts=layout.cuts),
            self.say("volume", volume=volume),
        ]
        if outside + inside:
            leg = self.tape(path.leg)
            lines.append(self.say("corners", outside=outside, inside=inside, leg=leg))
        says = "; ".join(clause.says for clause in (CORNERS, JOINTS, FAR_CORNER))
        return [*lines, self.say("practice", says=says)]

    def sides(self) -> list[tuple[str, list[str]]]:
        """Heading and sentences of every side."""
        return [(self._side(s), list(self._lines(s))) for s in set_out(self.schedule.layout)]

    def _side(self, found: SetOut) -> str:
        side = found.side
        head = self.say(
            "side", name=side.name, length=self.tape(side.length),
            thickness=self.tape(side.thickness), bottom=self.tape(side.bottom),
        )  # fmt: skip
        steps = (
            self.say("step", at=self.tape(s.at), bottom=self.tape(s.bottom)) for s in side.steps
        )
        return ", ".join([head, *steps])

    def _lines(self, found: SetOut) -> Iterable[str]:
        for line in found.lines:
            yield self._stretch(line)
        yield self.say("joints", places=", ".join(self.tape(p) for p in found.joints))
        for face in ("outer", "inner"):
            places = [self.tape(p) for where, p in found.one_face if where == face]
            if places:
                word = self.face(face)
                yield self.say("one_face", face=word, places=", ".join(places))
        far, turn = found.far, found.side.after
        yield self.say(
            f"far_{turn}", back=self.tape(far.back), leg=self.tape(far.leg), at=self.tape(far.at),
            panels=self.tape(far.panels), filler=self.tape(far.filler),
        )  # fmt: skip

    def _stretch(self, line: Line) -> str:
        stretch = line.filled.stretch
        say_length = self.tape if stretch.kind == RUN else self.width
        return self.say(
            stretch.kind, face=self.face(stretch.faces[0]),
            start=self.tape(stretch.start), end=self.tape(stretch.start + stretch.length),
            length=say_length(stretch.length), why=self.say(f"why_{line.filled.why}"),
            pieces=", ".join(self.group(g) for g in line.groups),
        )  # fmt: skip

    def group(self, group: Group) -> str:
        """Equal pieces in a row."""
        name = "pieces_cut" if group.cut else "pieces"
        piece = self.say(name, count=group.times, width=self.width(group.width))
        if len(group.courses) == 1:
            return piece
        courses = " + ".join(self.tape(h) for h in group.courses)
        return self.say("stacked", piece=piece, courses=courses)

    def stock(self) -> list[str]:
        """What of the stock stands in the wall, and what is cut."""
        layout = self.schedule.layout
        used = layout.used()
        more = ", ".join(
            self.say("more", count=k, width=self.width(line.width), height=self.tape(line.height))
            for k, line in layout.mends
        )
        lines = [
            self.say("stock_line", width=self.width(w), height=self.tape(h),
                     used=used.get((w, h), 0), count=count)
            for w, h, count in layout.stock
        ]  # fmt: skip
        cut = [(p.width, p.height) for p in layout.panels() if p.cut]
        for w, h in sorted(set(cut), reverse=True):
            lines.append(self.say("stock_cut", width=self.width(w), height=self.tape(h),
                                  used=cut.count((w, h))))  # fmt: skip
        return [*lines, self.say("mend", more=more)] if more else lines

    def worst(self) -> str:
        tie, case = self.schedule.worst, self.schedule.verdict.case
        return self.say(
            "worst", side=tie.side, place=self.tape(tie.place), load=self.amount("load", tie.load),
            row=str(Shown(self.amount("height", tie.row))),
            capacity=self.amount("load", case.tie.usable),
        )  # fmt: skip

    def counted(self) -> str:
        return self.say("counted", count=sum(not tie.above for tie in self.schedule.ties))

    def tie_head(self) -> tuple[str, ...]:
        unit = terms()["load"].unit[self.schedule.verdict.case.rule.system]
        names = ("side", "joint", "row", "length", "load", "ratio", "clip")
        return tuple(self.say(f"tie_head_{name}", unit=unit) for name in names)

    def joint_head(self) -> tuple[str, ...]:
        unit = terms()["load"].unit[self.schedule.verdict.case.rule.system]
        names = ("side", "joint", "ties", "length", "width", "most", "load", "ratio")
        return tuple(self.say(f"tie_head_{name}", unit=unit) for name in names)

    def joint_row(self, ties: Sequence[Tie]) -> tuple[str, ...]:
        """All ties of one joint: how many below the top of concrete, and the most loaded."""
        most = max(ties, key=lambda tie: tie.load)
        side, joint, row, length, load, ratio, _ = self.tie_row(most)
        width = str(Shown(self.amount("spacing", most.width)))
        count = str(sum(not tie.above for tie in ties))
        return side, joint, count, length, width, row, load, ratio

    def tie_row(self, tie: Tie) -> tuple[str, ...]:
        clip = "clip_above" if tie.above else "clip_opening" if tie.opening else "clip_tie"
        load = format(Shown(self.amount("load", tie.load)), "up").split(" ")[0]
        return (
            tie.side, self.tape(tie.place), str(Shown(self.amount("height", tie.row))),
            self.tape(tie.length), load, f"{tie.ratio:.2f}", self.say(clip),
        )  # fmt: skip


def layout_text(schedule: TieSchedule, language: str = "en") -> str:
    """The layout for a terminal: the verdict in two lines, then what to set and where."""
    words = LayoutWords(schedule, language)
    lines = [words.title, ""]
    for line in two_lines(schedule.verdict, language):
        lines += [*_wrap(line), ""]
    for line in words.summary():
        lines += _wrap(line)
    lines += ["", words.say("set_out")]
    for heading, sentences in words.sides():
        lines += ["", *_wrap(heading)]
        for sentence in sentences:
            lines += _wrap(sentence, "  ")
    lines += ["", words.say("stock")]
    for line in words.stock():
        lines += _wrap(line, "  ")
    lines += ["", words.say("ties")]
    for line in (words.worst(), words.counted(), words.say("all_ties")):
        lines += _wrap(line, "  ")
    return "\n".join(lines) + "\n"


def _wrap(line: str, first: str = "") -> Sequence[str]:
    return textwrap.wrap(
        line, WIDTH, initial_indent=first, subsequent_indent=first + "  " * bool(first)
    )
