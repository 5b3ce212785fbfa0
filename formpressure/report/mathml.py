"""TeX to MathML while a report is made. The only module that knows math-core, so easily swapped."""

from __future__ import annotations

from html import escape

import math_core


def mathml(tex: str, plain: str) -> str:
    """One equation as MathML, and its plain line for browsers that cannot draw it.

    Raises ValueError for TeX that cannot be read and for an equation without a plain line.
    """
    if not plain:
        raise ValueError(f"an equation without a plain line: {tex}")
    try:
        math = math_core.LatexToMathML().convert_with_local_state(tex, displaystyle=True)
    except math_core.LatexError as error:
        raise ValueError(f"cannot be read as an equation: {tex}") from error
    large = f'<math displaystyle="true" alttext="{escape(plain)}">'  # large, but at the left edge
    math = math.replace('<math display="block">', large, 1)
    return f'<span class="m">{math}</span><span class="mp">{escape(plain)}</span>'
