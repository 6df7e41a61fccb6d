"""HTML made of elements: every text is escaped where it is put in, so that no name or note can become markup."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from html import escape
from typing import TypeAlias

VOID = ("meta", "input", "br", "hr", "link")


@dataclass(frozen=True)
class Html:
    """Markup that is finished; made by ``el`` and ``raw`` only."""

    text: str


Child: TypeAlias = "Html | str | Iterable[Child] | None"


def el(name: str, /, *children: Child, **attributes: str | int | bool | None) -> Html:
    """An element. Attributes: ``class_`` for class, ``data_do`` for data-do; False and None are left out, True stands without a value."""
    given = "".join(_attribute(k.rstrip("_").replace("_", "-"), v) for k, v in attributes.items() if v is not None and v is not False)
    if name in VOID:
        return Html(f"<{name}{given}>")
    return Html(f"<{name}{given}>{''.join(_texts(children))}</{name}>")


def raw(text: str) -> Html:
    """Markup from a writer of this program that escapes for itself: a drawing, the page's own script."""
    return Html(text)


def data_block(key: str, value: object) -> Html:
    """Data for the script. No character of it can end the block."""
    text = json.dumps(value, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    for character in "<>&":
        text = text.replace(character, f"\\u{ord(character):04x}")
    return Html(f'<script type="application/json" id="{escape(key)}">{text}</script>')


def _attribute(name: str, value: str | int | bool) -> str:
    return f" {name}" if value is True else f' {name}="{escape(str(value), quote=True)}"'


def _texts(children: Iterable[Child]) -> Iterable[str]:
    for child in children:
        if child is None:
            continue
        if isinstance(child, Html):
            yield child.text
        elif isinstance(child, str):
            yield escape(child, quote=False)
        else:
            yield from _texts(child)
