"""Order of work at a splice, and what its sheet says of a block that carries."""

from __future__ import annotations

from collections.abc import Sequence

from detailgen.model.detail import Part
from detailgen.remedies.splice.chosen import Chosen, Layer, template_of

SHORE = "Shore the truss both sides of the joint before anything is cut; jack to the stated force with a displacement stop, whichever comes first."
TIGHT = "Fit the blocks tight between the plies at every bolt column: no bolt crosses an open gap."
CARRIES = "Fit the structural block tight between the plies, over both sides of the cut: it carries. Sound, dry, straight-grained, no splits."
BLOCK = "The structural block carries force from ply to ply across the cut: one sawn piece of the grade stated, seasoned, its grain along the chord."


def block_notes(stack: Sequence[Layer]) -> tuple[str, ...]:
    return (BLOCK,) if any(x.kind == "block" for x in stack) else ()


def _fitted(stack: Sequence[Layer]) -> str:
    if any(x.kind == "block" for x in stack):
        return CARRIES
    return TIGHT if len(stack) > 3 else ""


def order_of(chosen: Chosen, stack: list[Layer], parts: Sequence[Part]) -> list[tuple[str, tuple[str, ...]]]:
    """Sentences in turn, each with the new parts that its step brings in."""
    ply = " and ".join(chosen.site.plies)
    blocks, plates = (tuple(p.key for p in parts if not p.existing and (p.kind == "plate") is flat) for flat in (False, True))
    inner = tuple(k for k in plates if "-inner" in k)
    held, drilled = _held(chosen, stack)
    template = template_of(stack, chosen.heads).key
    outer = tuple(sorted((k for k in plates if k not in inner), key=lambda k: not k.startswith(template)))
    steps: list[tuple[str, tuple[str, ...]]] = [
        (SHORE, ()),
        (f"Prove zero tension in the {ply} ply: shore load reached and a saw kerf that does not open. One ply at a time.", ()),
        ("Cut out the damaged length square to the chord." if chosen.question.gap > 0 else "Close the butt joint tight with hardwood shims.", ()),
        (_fitted(stack), blocks),
        (held, outer),
        ("Slide in the inner plates before drilling through." if inner else "", inner),
        (f"Drill square through {drilled}; keep the drill guided, check the exit side of the first hole.", ()),
        ("Set bolts with washers under head and nut, tighten snug, check again after the wood has dried for a season.", ()),
        ("Release the shores evenly and record the movement.", ()),
    ]
    return [(text, brought) for text, brought in steps if text]


def _held(chosen: Chosen, stack: list[Layer]) -> tuple[str, str]:
    """What is clamped and where the holes come from; what is drilled through."""
    template = template_of(stack, chosen.heads)
    side = "near" if template == stack[-1] else "far"
    if template.kind != "plate":
        marked = f"Mark out the holes on the {side} face of the {template.ply} ply from the cut's middle and the chord's centre line."
        return f"Clamp both plies on the block. {marked}", "ply, block and ply in one go"
    if len(chosen.plates) == 1:
        told = f"Clamp the plate at the {side} side on the chord's centre line; it is the drilling template."
    else:
        told = f"Clamp both plates at the {side} side, each row at its distance from the chord's centre line; they are the drilling template."
    return told, "plate holes into wood and far parts"
