"""The one place that writes messages: what was found, where it stands, and the cure."""

from __future__ import annotations

LONGEST_SHOWN = 60  # characters of a refused value that a message repeats


def printable(text: str) -> str:
    """Text on one line, without what would move or colour the screen, or no file could hold."""
    return "".join(c if c.isprintable() else "?" for c in text)


def _shown(value: object) -> str:
    """The refused value, never longer than a line of the screen."""
    try:
        text = f'"{value}"' if isinstance(value, str) else repr(value)
    except ValueError:  # whole numbers of thousands of digits are not written out
        text = "a number of thousands of digits"
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 4] + '..."'


class Refusal(ValueError):
    """Input that is not taken. The text names file, key and value as far as they are known.

    `key` is dotted as in the plan file ("wall.height"), `cure` says what to write instead.
    """

    def __init__(
        self, problem: str, cure: str, *, file: str = "", key: str = "", value: object = None
    ) -> None:
        self.problem, self.cure = problem, cure
        self.file, self.key, self.value = file, key, value
        super().__init__(problem)

    def at(self, *, file: str = "", key: str = "") -> Refusal:
        """The same refusal, told where it stands; what is known already is kept."""
        self.file, self.key = self.file or file, self.key or key
        return self

    def __str__(self) -> str:
        place = f"{self.file}: " if self.file else ""
        what = self.key
        if self.value is not None:
            what = f"{what} = {_shown(self.value)}" if what else _shown(self.value)
        return printable(f"{place}{what + ': ' if what else ''}{self.problem}. {self.cure}.")


class OutOfRange(Refusal):
    """A value outside the range for which the document gives an answer."""
