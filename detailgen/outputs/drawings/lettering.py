"""How much room a text takes, without any font at hand.

Widths are upper bounds over two common sans-serif families, in cap heights, rounded up to 0.05 (measured from one, the other by its published
metrics), so that a text is never wider than its box in either of them.
"""

from __future__ import annotations

import re
from functools import lru_cache

_CLASSES = {
    0.4: "\"'ijl",
    0.45: " ,.I’·",
    0.5: "-/:;\\f|",
    0.55: "!()[]t²³",
    0.6: "r",
    0.65: '"',
    0.7: "*J`–°",
    0.75: "sz“”",
    0.8: "?L_ck",
    0.85: "aeovxyäöéè",
    0.9: "$0123456789FTbdghnpqu{}üß√",
    0.95: "ABEKPSVXYZÄ",
    1.05: "CHNRUÜ",
    1.1: "&DGOQÖ",
    1.15: "#+<=>^w~×±≤≥",
    1.2: "M",
    1.35: "%m",
    1.4: "W",
    1.45: "@",
}
_WIDTH = {character: width for width, characters in _CLASSES.items() for character in characters}
_UNKNOWN = 1.5
NO_BREAK = "\N{NO-BREAK SPACE}"
"""Holds a length such as 4 1/2 together where a text is broken into lines; it is written as a plain space."""
_WIDTH[NO_BREAK] = _WIDTH[" "]
_SPACES = re.compile(r"[ \t\n]+")
DESCENT = 0.33
"""How far letters reach below the baseline, in cap heights."""
REACH_DOWN = frozenset("gjpqyQ,;()[]{}|_@$/\\ß")
ASCENT = 1.08
"""How far letters reach above it, in cap heights."""
EM = 0.716
"""Cap height of the common sans-serif families over their nominal size."""


@lru_cache(maxsize=4096)
def text_width(text: str, height: float) -> float:
    """An upper bound of the width of a text with this cap height."""
    return height * sum(_WIDTH.get(c, _UNKNOWN) for c in text)


def wrap(text: str, width: float, height: float) -> list[str]:
    """Break a text into lines no wider than ``width`` with letters of this cap height (both in of paper). A word that is too long is cut."""
    return list(_wrapped(text, width, height))


@lru_cache(maxsize=4096)
def _wrapped(text: str, width: float, height: float) -> tuple[str, ...]:
    """Remembered, as lists are laid out several times until they find their room."""
    lines: list[str] = []
    line = ""
    for word in _SPACES.split(text.strip()) if text.strip() else ():
        if line and text_width(f"{line} {word}", height) <= width:
            line = f"{line} {word}"
            continue
        if line:
            lines.append(line)
        while text_width(word, height) > width:
            cut = max(1, next(k for k in range(len(word), 0, -1) if k == 1 or text_width(word[:k], height) <= width))
            lines.append(word[:cut])
            word = word[cut:]
        line = word
    return tuple(whole.replace(NO_BREAK, " ") for whole in ([*lines, line] if line else lines))
