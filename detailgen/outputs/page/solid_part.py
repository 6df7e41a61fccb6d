"""A solid on the page with what it is turned, cut, pulled apart and measured by; the script finds it by its class and its data's key."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from detailgen.outputs.page.html import Html, el
from detailgen.outputs.page.scene import Scene
from detailgen.outputs.solids.assembly import NEW

VIEWS = (("iso", "isometric"), ("front", "front"), ("top", "from above"), ("right", "from the right"))
CUTS = (("", "not cut"), ("across", "across the member"), ("level", "level, along the member"), ("faces", "parallel to the faces"))


@dataclass(frozen=True)
class Words:
    """How a solid is called, in the canvas's description and over it; how the cuts through it are called."""

    name: str
    title: str = "Solid"
    cuts: tuple[tuple[str, str], ...] = CUTS


def _parts(scene: Scene) -> Html:
    ticks = [el("input", type="checkbox", checked=True, value=k, data_do="part") for k in range(len(scene.items))]
    rows = [el("li", el("label", tick, f" {i.name}"), " ", el("span", i.facts, class_="from")) for tick, i in zip(ticks, scene.items, strict=True)]
    groups: Mapping[str, str] = {"all": "all", **{g: f"only {g}" for g in sorted({i.group for i in scene.items}, key=_order)}}
    choices = [el("button", words, type="button", value=value, data_do="all") for value, words in groups.items()]
    return el("details", el("summary", "Parts on and off"), el("p", choices), el("ul", rows, class_="parts"), class_="numbers")


def _order(group: str) -> tuple[int, str]:
    """New work first."""
    return (0 if group == NEW else 1), group


def solid_block(scene: Scene, still: Html | None, key: str, words: Words, class_: str = "joint") -> Html:
    """The whole block.

    still: what stands there on paper, and where a browser cannot turn the solid
    """
    views = [el("button", text, type="button", value=value, data_do="view") for value, text in VIEWS]
    cuts = [el("option", text, value=value) for value, text in words.cuts]
    where = el("input", type="range", min=0, max=1000, value=500, disabled=True, data_do="cut-at", aria_label="where the cut goes")
    tools = (
        el("div", el("span", words.title), views, class_="tools"),
        el(
            "div", el("label", "Cut ", el("select", cuts, data_do="cut")),
            el("label", "at ", where),
            el("label", el("input", type="checkbox", disabled=True, data_do="cut-side"), " other side"), class_="tools",
        ),
        el(
            "div", el("label", "Pull apart ", el("input", type="range", min=0, max=100, value=0, data_do="apart")),
            el("label", el("input", type="checkbox", checked=True, data_do="marks"), " marks"),
            el("button", "measure", type="button", aria_pressed="false", data_do="measure"), class_="tools",
        ),
    )  # fmt: skip
    keys = f"{words.name}. Arrow keys turn it, with shift they move it, plus and minus change its size, M measures, Home puts it back."
    stage = el(
        "div", el("canvas", tabindex=0, role="img", aria_label=keys), el("svg", class_="lettering", aria_hidden="true"),
        el("div", still, class_="picture") if still is not None else None, class_="stage",
    )  # fmt: skip
    use = "Drag to turn, with shift to move; click it and use the wheel or + and - for size. Keys: arrows, shift + arrows, M, Home."
    hint = el("p", use, class_="from hint")
    said = el("output", aria_live="polite")
    return el("div", tools[0], stage, said, tools[1], tools[2], _parts(scene), hint, class_=class_, data_model=key)
