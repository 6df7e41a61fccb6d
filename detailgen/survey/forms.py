"""The project file's format: one form per table. The reader fills them, the JSON Schema is made from them; keys are the names with spaces."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from detailgen.survey.form import Form
from detailgen.survey.quantities import (
    AreaLoad,
    Count,
    Force,
    IsoDate,
    Length,
    Note,
    PositiveAreaLoad,
    PositiveForce,
    PositiveLength,
    Remaining,
    SignedAreaLoad,
    SnowFactor,
    Stress,
    UnitWeight,
    WinterWind,
    Words,
    YesNo,
)
from detailgen.survey.type_forms import TrussType, WoodForm


class ProjectInfo(Form):
    """What the title block says."""

    name: Words = Field(description="Name of the project.")
    number: Note = Field(default="", description="Your project number.")
    location: Note = Field(default="", description="Place, street, building.")
    revision: Words = Field(description="Revision of the package, for instance 0 or A.")
    date: IsoDate = Field(description="Date of this revision, year-month-day.")
    units: Literal["US", "SI"] = Field(description="Units of the results: US (feet, inches, pounds) or SI (mm, kN). Input may use either.")
    code_path: Note = Field(default="", description="Building code and what it asks of this work.")
    view: Words = Field(description="Which way the viewer looks at the trusses, for instance 'looking north'. The near side is the viewer's.")
    grid: Note = Field(default="", description="The building's grid lines, if it has any.")


class Standards(Form):
    """The documents by which everything is checked."""

    wood: Words = Field(description="Standard for wood members and connections, for instance nds_2018.")
    loads: Words = Field(description="Standard for loads and combinations, for instance asce7_16.")
    method: Literal["allowable stress", "strength"] = Field(
        default="allowable stress", description="By which method: allowable stress (ASD), or strength (LRFD). Allowable stress if not given."
    )


class Drift(Form):
    """A higher roof or a parapet beside this roof, at which snow drifts."""

    beside: Literal["higher roof", "parapet"] = Field(description="What stands there.")
    side: Literal["left", "right", "end wall"] = Field(description="At the trusses' left or right end, or along an end wall.")
    height: PositiveLength = Field(description="Height of the step above the roof surface there.")
    roof_above: PositiveLength | None = Field(default=None, description="Length of the higher roof at right angles to the step.")
    roof_below: PositiveLength | None = Field(default=None, description="Length of this roof at right angles to the step; the span if not given.")
    distance: Length | None = Field(default=None, description="From an end wall to the truss.")
    trusses: list[Words] = Field(default=[], description="Marks of the trusses that it concerns; all if not given.")


class GivenLoadForm(Form):
    """A load that you have worked out: sliding snow, ponding, wind uplift."""

    name: Words = Field(description="Its name, for instance 'sliding from the north roof'.")
    kind: Literal["snow", "rain", "wind"] = Field(description="snow lies on the balanced snow; rain and wind stand alone.")
    points: list[tuple[Length, SignedAreaLoad]] = Field(
        description="[x, load per horizontal area] from left to right, straight between; down is positive, uplift negative, nothing outside."
    )
    trusses: list[Words] = Field(default=[], description="Marks of the trusses that it concerns; all if not given.")


class Snow(Form):
    """What the site and the building say about snow."""

    ground: PositiveAreaLoad = Field(description="Ground snow load.")
    exposure: SnowFactor = Field(default=1.0, description="Exposure factor. 1.0 if not given.")
    thermal: SnowFactor = Field(default=1.0, description="Thermal factor. 1.0 if not given.")
    importance: SnowFactor = Field(default=1.0, description="Importance factor for snow. 1.0 if not given.")
    slippery: YesNo = Field(default=False, description="Is the roof surface slippery and free of obstructions?")
    risk_category: Literal["I", "II", "III", "IV"] = Field(default="II", description="Risk category of the building. II if not given.")
    winter_wind: WinterWind | None = Field(default=None, description="Winter wind parameter of the site, for drifts where the standard asks for it.")
    left_eave: Literal["free", "near", "valley"] = Field(
        default="free", description="free, near (another roof or the ground within 3 ft below), or valley (an adjoining barrel). free if not given."
    )
    right_eave: Literal["free", "near", "valley"] = Field(default="free", description="The same at the right end.")
    drifts: list[Drift] = Field(default=[], description="Higher roofs and parapets beside this roof.")


class FirstDesign(Form):
    """The load for which the truss was first designed, if known."""

    total: PositiveAreaLoad = Field(description="Uniform load on the horizontal projection, dead and live together.")
    tension_stress: Stress | None = Field(default=None, description="Tension stress then allowed.")
    source: Note = Field(default="", description="Where this is known from.")


class LoadsForm(Form):
    """Area loads."""

    roof_dead: AreaLoad = Field(description="Roofing, deck, joists and purlins; the trusses' own wood is added from its unit weight.")
    roof_dead_on: Literal["slope", "plan"] = Field(default="slope", description="Is 'roof dead' per sloped or per horizontal area?")
    ceiling_dead: AreaLoad | None = Field(default=None, description="Hung on the bottom chord. None if not given.")
    roof_live: AreaLoad = Field(description="Roof live load on the horizontal projection.")
    roof_live_reduction: YesNo = Field(
        default=False, description="Reduce the roof live load by area and slope as the standard allows? no if not given."
    )
    concentrated: PositiveForce | None = Field(
        default=None, description="Load at any joint of the bottom chord, one at a time, beside the roof live load: 2000 lb over some occupancies."
    )
    given: list[GivenLoadForm] = Field(default=[], description="Loads that you have worked out: sliding snow, ponding, wind uplift.")
    wood_weight: UnitWeight | None = Field(default=None, description="Unit weight of the wood; 35 pcf (5.5 kN/m3) if not given.")
    snow: Snow | Literal["none"] = Field(description="The site's snow, or the word none.")
    original_design: FirstDesign | None = Field(default=None, description="The load of the first design, solved beside today's.")


class DamageForm(Form):
    """Something found on site."""

    kind: Literal["break", "split", "check", "decay", "failed connector", "bow", "missing bolt", "sag"] = Field(description="What it is.")
    member: Words | None = Field(default=None, description="Where: bottom chord, top chord or a web.")
    ply: Words | None = Field(default=None, description="Which ply; every ply if not given.")
    at: Length | None = Field(default=None, description="Its middle: along the span for a chord, from the first joint for a web.")
    length: Length | None = Field(default=None, description="Its extent.")
    photo: Words = Field(description="Number of the photo.")
    factor: Remaining | None = Field(default=None, description="What is left of the strength, 0 to 1: for split, check, decay, failed connector.")
    basis: Words | None = Field(default=None, description="On what the factor rests.")
    amount: PositiveLength | None = Field(default=None, description="Size of a bow or sag.")
    connection: Words | None = Field(default=None, description="Of a missing bolt or failed connector: 'U2-L3 at L3' or the splice's name.")
    count: Count | None = Field(default=None, description="Number of missing bolts.")


class ForcesForm(Form):
    """Forces from another analysis."""

    file: Words = Field(description="A table (CSV or XLSX) beside the project file.")
    durations: dict[str, Literal["permanent", "ten years", "snow", "construction", "wind", "impact"]] = Field(
        default={}, description="For each combination of the file that this program does not know: its shortest load."
    )


class OverrideForm(Form):
    """A default that you set aside."""

    item: Words = Field(description="What, for instance 'two pinned supports'.")
    value: Note = Field(default="", description="In place of the default.")
    reason: Words = Field(description="Why; page one repeats it.")


class Changes(TrussType):
    """Entries of the type that are different in this truss. Lists, plies and wood are replaced as a whole, other tables entry by entry."""


class BaseForm(Form):
    """What the shores stand on."""

    kind: Words = Field(description="In words, for instance 'slab on ground' or 'timber floor over the cellar'.")
    carries: PositiveForce | None = Field(default=None, description="What it takes under one shore, if anybody knows.")


class WorkForm(Form):
    """The time in which the truss is worked on: what may lie on it, and the shores. A truss's own entries go before those of the file."""

    snow: AreaLoad | None = Field(default=None, description="Snow on the roof that the work may meet; none if not given.")
    construction: AreaLoad | None = Field(default=None, description="People and material, per horizontal area; none if not given.")
    construction_on: Literal["roof", "bottom chord"] | None = Field(default=None, description="Where they are. roof if not given.")
    shores_at: list[Words] | None = Field(default=None, description="Joints of the bottom chord at which a shore may stand; any if not given.")
    no_shores_at: list[Words] | None = Field(default=None, description="Joints at which none may stand.")
    jack_stop: PositiveLength | None = Field(default=None, description="Most that a jack may lift, whatever its force.")
    jack_force: PositiveForce | None = Field(default=None, description="Most that a jack with its shore can take.")
    shore_height: PositiveLength | None = Field(default=None, description="From the base to the chord; 'below' of the access if not given.")
    base: BaseForm | None = Field(default=None, description="What the shores stand on.")


class TrussForm(Form):
    """One truss."""

    mark: Words = Field(description="Its mark.")
    type: Words = Field(description="One of the types.")
    bay: Note = Field(default="", description="Where it stands.")
    tributary_width: PositiveLength = Field(description="Width of roof that it carries.")
    changes: Changes | None = Field(default=None, description="What differs from the type.")
    damage: list[DamageForm] = Field(default=[], description="What was found.")
    forces: ForcesForm | None = Field(default=None, description="Forces from another analysis in place of this program's.")
    overrides: list[OverrideForm] = Field(default=[], description="Defaults set aside, with reasons.")
    work: WorkForm | None = Field(default=None, description="What differs here while the truss is worked on.")
    bolts_from: Literal["near", "far"] | None = Field(default=None, description="Side from which bolts are put in here, if not as in access.")


class AccessForm(Form):
    """How new parts get to the trusses, and what room stands around them. What is left out is not checked."""

    longest: PositiveLength | None = Field(default=None, description="Longest piece that can be brought in.")
    heaviest: Force | None = Field(default=None, description="Heaviest piece that can be carried or lifted to the truss.")
    near: PositiveLength | None = Field(default=None, description="Free distance in front of the truss, on the viewer's side.")
    far: PositiveLength | None = Field(default=None, description="Free distance behind the truss.")
    below: PositiveLength | None = Field(default=None, description="Free height under the bottom chord.")
    above: PositiveLength | None = Field(default=None, description="Free height over the bottom chord.")
    bolts_from: Literal["near", "far"] = Field(default="near", description="Side from which bolts are put in: heads there, nuts opposite.")


class AnchoredBayForm(Form):
    """A bay of the building in which the engineer anchors brace lines, by crossed bracing or a wall: without one no line is proposed."""

    bay: Words = Field(description="Which bay, and who says so: 'grid lines 4 to 5, crossed rods by the engineer, sheet S-2'.")
    holds: Literal["webs", "bottom chord", "top chord"] = Field(description="Whose brace lines it holds.")
    takes: PositiveForce = Field(description="What it can take of one line, either way along the building.")
    leaning: Count = Field(description="How many trusses lean on one line, counted on the side of the bay where they are more.")
    spacing: PositiveLength | None = Field(default=None, description="Between trusses; the width of roof that the truss carries if not given.")
    trusses: list[Words] = Field(default=[], description="Marks of the trusses that it concerns; all if not given.")


class AnalysisForm(Form):
    """What the analysis counts beyond the plain frame."""

    shear: YesNo = Field(default=False, description="Do members shear? no if not given: tabulated E of wood holds some of it.")
    web_bolts_slip: YesNo = Field(default=False, description="Do the bolts of the webs slip by the standard's stiffness? no if not given.")
    free_travel: PositiveLength | None = Field(default=None, description="Of each bolted end of a web before its bolts bear, such as 1/32 in.")
    second_order: YesNo = Field(default=False, description="Are forces found on the deformed truss? no if not given.")


class StressingForm(Form):
    """What strands are stressed with. What is left out is common practice, listed as an assumption."""

    strands: list[Literal["1/2 in.", "0.6 in."]] = Field(default=[], description="Sizes that may be used; both if not given.")
    seating: PositiveLength | None = Field(default=None, description="Travel of the wedges as they seat; 1/4 in if not given.")
    jack_length: PositiveLength | None = Field(default=None, description="Of the jack with its ram in, from the anchor; 22 in if not given.")
    jack_diameter: PositiveLength | None = Field(default=None, description="Of the jack's body; 5 in if not given.")
    stroke: PositiveLength | None = Field(default=None, description="Of the ram; 8 in if not given.")
    ram_diameter: PositiveLength | None = Field(default=None, description="Of a full circle with the ram's pressure area: gauge readings.")
    force: PositiveForce | None = Field(default=None, description="At the jack, each strand; the least that does if not given.")


class ProjectFile(Form):
    """Survey of old timber roof trusses. Every quantity has its unit."""

    project: ProjectInfo = Field(description="The project.")
    standards: Standards = Field(description="The standards.")
    loads: LoadsForm = Field(description="The loads.")
    analysis: AnalysisForm | None = Field(default=None, description="What the analysis counts beyond the plain frame.")
    access: AccessForm | None = Field(default=None, description="Ways in and room for the work.")
    stressing: StressingForm | None = Field(default=None, description="What strands are stressed with.")
    anchored_bays: list[AnchoredBayForm] = Field(default=[], description="Bays that hold brace lines along the building.")
    work: WorkForm | None = Field(default=None, description="The time in which the trusses are worked on: snow, construction load, shores.")
    wood: WoodForm | None = Field(default=None, description="Wood of all types, where they say nothing else.")
    types: dict[str, TrussType] = Field(description="Truss types by name.")
    trusses: list[TrussForm] = Field(description="The trusses.")
