"""What a person may do about a finding."""

from __future__ import annotations

from detailgen.checker.drawing import length_words
from detailgen.checker.rules import GREATEST, PROVIDED, REQUIRED
from detailgen.core.result import CheckResult, State

REMEDIES = (
    ("off its place by", "move it back, or move its bolt in every part"),
    ("no hole of group", "drill it here as well, or take its bolt out of every part"),
    ("that is missing in", "drill it there as well, or take it out here"),
    ("meets no hole of another part", "take it out, or drill the other parts as well"),
    ("do not meet those of", "move the holes back, or the part in the plan"),
    ("names a bolt of", "name one bolt on all holes of the group"),
    ("hole stands twice", "delete one of the two"),
    ("outline stands twice", "delete one of the two"),
    ("hole runs into hole", "delete one of the two, or move it away"),
    ("hole stands outside its part", "move it into its part"),
    ("is drawn in two ways", "make both alike, or give one another mark"),
    ("differ from the face view", "make it as the face view, or give it another mark"),
    ("begins or ends", "attach the dimension to the hole or corner anew"),
    ("dimension text", "let the text follow what is measured (<>), or move what it spans"),
    ("dimension picture", "update the dimension so that its picture follows"),
    ("times its size", "draw the view at its size"),
    ("slot across the load", "turn the slot across the load, or make it a round hole"),
    ("in the face view,", "make both views alike"),
    ("a new bolt in a no-drill zone", "move the bolt out of the zone"),
    ("no bolt where", "let the elevation follow the face views, or move the hole back"),
    ("states", "let the text follow the drawing, or the drawing the text"),
    ("no row for", "add the row"), ("no place for the hole", "add its ordinates"), ("that is not drawn", "take it out of the table, or draw it"),
    ("the next one drawn stands", "let the table follow the drawing, or move the hole back"),
)  # fmt: skip
"""What to do about a finding, by words of its sentence; the first that fits."""


def advice(result: CheckResult, metric: bool = False) -> str:
    """What to do so that it passes; "" where it does, or where only what is missing can be told."""
    if result.state is not State.DOES_NOT_PASS:
        return ""
    steps = {s.symbol: s.value for s in result.steps}
    if PROVIDED in steps and REQUIRED in steps:
        short = length_words(steps[REQUIRED] - steps[PROVIDED], metric)
        if " for its " in result.check:
            return f"drill it {short} larger"
        return f"move the hole, or what it is measured to, by {short} at least"
    if PROVIDED in steps and GREATEST in steps:
        over = length_words(steps[PROVIDED] - steps[GREATEST], metric)
        if " for its " in result.check:
            return f"{over} too large: it cannot be made smaller; use a larger bolt, or a new part"
        return f"bring them nearer by {over} at least"
    if result.unit == "lb":
        more = "a thicker or wider plate" if "plate" in result.check else "more bolts, a longer end or more spacing"
        return f"{result.ratio:.2f} times what it carries: {more}"
    return next((do for words, do in REMEDIES if words in result.check), "let what is written and what is drawn agree")
