"""The project file's format: one form per table. The reader fills them, the JSON Schema is made from them; keys are the names with spaces."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, PrivateAttr

from detailgen.survey.document import Node, Table
from detailgen.survey.quantities import (
    AreaLoad,
    Braced,
    Coordinate,
    Count,
    Force,
    Gravity,
    IsoDate,
    Length,
    Note,
    Panels,
    PositiveAreaLoad,
    PositiveForce,
    PositiveLength,
    Remaining,
    RotationalStiffness,
    SignedAreaLoad,
    Slip,
    SnowFactor,
    Stress,
    UnitWeight,
    WinterWind,
    Words,
    YesNo,
)


class Unusable(Exception):  # noqa: N818 - read as words
    """A value whose fault is in the report already. Who needs it stops quietly."""


class Form(BaseModel):
    """A table of the file with the places of its entries. Reading an entry that was faulty raises Unusable."""

    model_config = ConfigDict(extra="forbid", alias_generator=lambda name: name.replace("_", " "))
    _table: Table = PrivateAttr()
    _failed: frozenset[str] = PrivateAttr(default=frozenset())

    @property
    def table(self) -> Table:
        return self._table

    def place(self, key: str = "") -> Node:
        """Where an entry stands (or would stand)."""
        return self._table.child(key) if key else self._table

    def has(self, key: str) -> bool:
        """Does the file give this entry?"""
        return key in self._table.entries

    if not TYPE_CHECKING:

        def __getattr__(self, name: str) -> Any:  # noqa: ANN401
            private = object.__getattribute__(self, "__pydantic_private__") or {}
            if name in private.get("_failed", ()):
                raise Unusable(name)
            return super().__getattr__(name)


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


class WoodValues(Form):
    """Reference values of your own in place of the standard's table."""

    Fb: Stress | None = Field(default=None, alias="Fb", description="Bending (bottom edge stretched).")
    Fb_neg: Stress | None = Field(default=None, alias="Fb_neg", description="Bending, top edge stretched; as Fb if not given.")
    Fby: Stress | None = Field(default=None, alias="Fby", description="Bending about the weak axis; as Fb if not given.")
    Ft: Stress | None = Field(default=None, alias="Ft", description="Tension parallel to grain.")
    Fv: Stress | None = Field(default=None, alias="Fv", description="Shear parallel to grain.")
    Fc_perp: Stress | None = Field(default=None, alias="Fc_perp", description="Compression perpendicular to grain.")
    Fc: Stress | None = Field(default=None, alias="Fc", description="Compression parallel to grain.")
    E: Stress | None = Field(default=None, alias="E", description="Modulus of elasticity.")
    E_axial: Stress | None = Field(default=None, alias="E_axial", description="Modulus of elasticity along the axis; as E if not given.")
    E_min: Stress | None = Field(default=None, alias="E_min", description="Modulus of elasticity for stability.")
    E_min_y: Stress | None = Field(default=None, alias="E_min_y", description="The same across the truss; as E_min if not given.")
    G: Gravity | None = Field(default=None, alias="G", description="Specific gravity, without unit.")


class WoodForm(Form):
    """A wood. May stand at the top of the file, in a type, a chord, a web group or a ply; the nearest one counts, entry by entry."""

    species: Words | None = Field(default=None, description="Species combination, as the standard names it.")
    grade: Words | None = Field(default=None, description="Grade, as the standard names it.")
    product: Literal["sawn", "glulam"] | None = Field(default=None, description="sawn if not given.")
    moisture: Literal["dry", "wet"] | None = Field(default=None, description="Moisture in service. dry if not given.")
    values: WoodValues | None = Field(default=None, description="Your own reference values; they need a source.")
    source: Note | None = Field(default=None, description="Where grade or values are known from.")


class PlySize(Form):
    """One ply as measured."""

    thickness: PositiveLength = Field(description="Measured across the truss.")
    depth: PositiveLength | None = Field(default=None, description="Measured in the plane of the truss. With layers: their sum if not given.")
    layers: list[PositiveLength] | None = Field(default=None, description="Depths of planks stacked over the ply's depth, bottom first.")
    fastening: Literal["glued", "nailed", "bolted", "unknown"] | None = Field(
        default=None, description="How the layers are joined; unknown if not given. Only glued layers act as one piece."
    )
    fastener_stiffness: Slip | None = Field(
        default=None, description="Of nailed or bolted layers: load per slip of all fasteners at one place between two layers."
    )
    fastener_spacing: PositiveLength | None = Field(
        default=None, description="Of those places along the member. With both the layers act together in part."
    )
    wood: WoodForm | None = Field(default=None, description="Wood of this ply, where it differs.")


class PlyPair(PlySize):
    """Two equal plies side by side, called near and far."""

    gap: Length = Field(description="Clear distance between the two plies.")


class Plies(Form):
    """Plies in short: 'one', or 'two' equal ones with a gap, or 'near' and 'far' with a gap."""

    one: PlySize | None = Field(default=None, description="A single ply in the middle of the truss, called single.")
    two: PlyPair | None = Field(default=None, description="Two equal plies, called near and far.")
    near: PlySize | None = Field(default=None, description="The viewer's ply.")
    far: PlySize | None = Field(default=None, description="The ply behind.")
    gap: Length | None = Field(default=None, description="Clear distance between near and far.")


class ListedPly(PlySize):
    """A ply of a list, with its place across the truss."""

    name: Words = Field(description="Its name, for instance near.")
    z: Coordinate = Field(description="Its centre across the truss: 0 is the middle, positive is toward the viewer.")


class Chord(Form):
    """What both chords have."""

    plies: Plies | list[ListedPly] = Field(description="The plies as measured.")
    wood: WoodForm | None = Field(default=None, description="Wood of this chord, where it differs.")
    bow: Length = Field(default=0.0, description="Measured bow out of the truss plane.")
    braces: Braced | list[Length] | None = Field(
        default=None, description="Where it is held out of the truss plane between its ends: joints, none, every 24 in, or stations along the span."
    )


class TopChord(Chord):
    """Shape by radius or rise (an arc through both heels) or by points."""

    radius: PositiveLength | None = Field(default=None, description="Radius of the centre line.")
    rise: PositiveLength | None = Field(default=None, description="Height of the centre line over the heels at midspan.")
    points: list[tuple[Coordinate, Coordinate]] | None = Field(default=None, description="Measured points [x, y] from the left heel, left to right.")
    pieces: Literal["curved", "straight"] | None = Field(
        default=None, description="Is the wood between the joints curved or straight? Glulam counts as curved, sawn wood as straight, if not given."
    )


class Webs(Form):
    """Webs of one make."""

    members: list[Words] = Field(description="By their joints, for instance U1-L2. Stations count from the first joint.")
    plies: Plies | list[ListedPly] = Field(description="The plies as measured.")
    wood: WoodForm | None = Field(default=None, description="Wood of these webs, where it differs.")
    bow: Length = Field(default=0.0, description="Measured bow out of the truss plane.")
    braces: Braced | list[Length] | None = Field(
        default=None, description="Where held out of plane between the ends: none (if not given), every 48 in, or distances from the first joint."
    )
    carries: Literal["both", "tension", "compression"] = Field(
        default="both", description="What the ends can pass on: tension (a rod), compression (a strut that only bears), or both, if not given."
    )


class BoltGroup(Form):
    """Bolts of one diameter."""

    diameter: PositiveLength = Field(description="Bolt diameter.")
    at: list[tuple[Coordinate, Coordinate]] = Field(
        description="Each bolt as [along, across]: along from the joint's work point into the member, or from the cut of a splice; across upward."
    )
    bending_yield: Stress = Field(default=45000.0, description="Bending yield strength of the bolts. 45000 psi if not given.")


class PlateForm(Form):
    """An old steel plate or strap that the bolts pass."""

    thickness: PositiveLength = Field(description="Thickness.")
    width: PositiveLength = Field(description="Width across its length.")
    z: Coordinate = Field(description="Its centre across the truss: 0 is the middle, positive is toward the viewer.")
    bearing_strength: Stress = Field(description="Dowel bearing strength of the steel.")
    end: Length = Field(description="Distance from the joint's work point (or the cut) to the plate's end.")


class FillerForm(Form):
    """Blocking in a gap that the bolts pass; it carries nothing."""

    thickness: PositiveLength = Field(description="Thickness across the truss.")
    z: Coordinate = Field(default=0.0, description="Its centre across the truss; 0 (the middle) if not given.")


class ConnectionForm(Form):
    """Bolted ends of one make."""

    members: Words | list[Words] = Field(description="'all webs', one member, or a list of members.")
    joints: Words | list[Words] | None = Field(default=None, description="Only at these joints: a list, or top, or bottom. Both ends if not given.")
    bolts: BoltGroup = Field(description="The bolts of each end.")
    end: Coordinate = Field(description="How far the member runs beyond the joint's work point; negative where it stops short.")
    plates: list[PlateForm] = Field(default=[], description="Old steel plates.")
    fillers: list[FillerForm] = Field(default=[], description="Blocking in gaps.")


class ScabForm(Form):
    """An old wood splice piece, centred over the cut."""

    name: Words = Field(default="splice piece", description="Its name.")
    thickness: PositiveLength = Field(description="Measured across the truss.")
    depth: PositiveLength = Field(description="Measured in the plane of the truss.")
    z: Coordinate = Field(description="Its centre across the truss: 0 is the middle, positive is toward the viewer.")
    length: PositiveLength = Field(description="Whole length, half of it on each side of the cut.")
    wood: WoodForm | None = Field(default=None, description="Its wood, where it differs from the type's.")


class BearingForm(Form):
    """Ends that push with their end grain on a shoe or on wood."""

    members: Words | list[Words] = Field(description="'all webs', one member, or a list of members.")
    joints: Words | list[Words] | None = Field(default=None, description="Only at these joints: a list, or top, or bottom. Both ends if not given.")
    width: PositiveLength = Field(description="Contact face across the truss.")
    height: PositiveLength = Field(description="Contact face in the plane of the truss.")
    face: Literal["steel", "wood"] = Field(description="What it pushes on.")


class SpliceForm(Form):
    """A butt joint of one ply of a chord."""

    name: Words | None = Field(default=None, description="A name to refer to; made from chord, ply and place if not given.")
    chord: Literal["bottom chord", "top chord"] = Field(description="Which chord.")
    ply: Words | None = Field(default=None, description="Which ply; may be left out where the chord has one.")
    at: Length = Field(description="Place of the cut along the span.")
    behaviour: Literal["hinge", "one ply continuous", "fixed", "semi-rigid"] = Field(description="How it bends.")
    stiffness: RotationalStiffness | None = Field(default=None, description="Of a semi-rigid splice.")
    bolts: BoltGroup | None = Field(default=None, description="Bolts of one side of the cut; the other side is its mirror image.")
    plates: list[PlateForm] = Field(default=[], description="Old steel plates.")
    fillers: list[FillerForm] = Field(default=[], description="Blocking in gaps.")
    scabs: list[ScabForm] = Field(default=[], description="Old wood splice pieces.")


class Zone(Form):
    """Old metal or old holes that bar new bolts."""

    member: Words = Field(description="Which member.")
    kind: Literal["split ring", "shear plate", "strap", "heel shoe", "hole"] = Field(description="What is there.")
    along: Length = Field(description="Its middle: along the span for a chord, from the first joint for a web.")
    across: Coordinate = Field(default=0.0, description="Its middle across the member's depth from the centre line; 0 if not given.")
    length: PositiveLength = Field(description="Extent along the member.")
    depth: PositiveLength = Field(description="Extent across the member's depth.")


class SupportsForm(Form):
    """Bearings at the two heels."""

    left: Literal["pin", "roller"] = Field(default="pin", description="pin if not given.")
    right: Literal["pin", "roller"] = Field(default="roller", description="roller if not given.")
    wall_stiffness: Slip | None = Field(default=None, description="Of the wall under the roller against thrust; it gives way freely if not given.")
    left_offset: tuple[Coordinate, Coordinate] = Field(default=(0.0, 0.0), description="Bearing point [x, y] seen from the left heel's work point.")
    right_offset: tuple[Coordinate, Coordinate] = Field(default=(0.0, 0.0), description="Bearing point [x, y] seen from the right heel's work point.")
    left_settlement: tuple[Coordinate, Coordinate] = Field(
        default=(0.0, 0.0), description="How far the left bearing has moved [x, y] since the truss was set; down is negative. None if not given."
    )
    right_settlement: tuple[Coordinate, Coordinate] = Field(default=(0.0, 0.0), description="The same of the right bearing; x of a pin only.")


class HeelRoomForm(Form):
    """What a jack or a plate has room for."""

    left: PositiveLength = Field(description="From the bottom chord's end to what stands behind it, at the left heel.")
    right: PositiveLength = Field(description="The same at the right heel.")


class HeelSeatForm(Form):
    """What the truss lies on at a heel."""

    length: PositiveLength = Field(description="Along the bottom chord, the bearing point in its middle.")
    kind: Words = Field(default="", description="What it is, for instance 'brick pilaster' or 'timber post'.")
    carries: Stress | None = Field(default=None, description="What may press on it, if the engineer knows.")


class ShoeForm(Form):
    """The shoe of a heel: a plate square behind the top chord's end grain, welded to side straps that hold the bottom chord.

    Its contact face stands under 'end bearings', the straps and their bolts under 'connections' of the bottom chord. What is left out cannot be
    checked.
    """

    joints: list[Words] | None = Field(default=None, description="Which heels; both if not given.")
    set_back: PositiveLength | None = Field(default=None, description="From the work point along the top chord's axis to its end grain.")
    plate: PositiveLength | None = Field(default=None, description="Thickness of the plate behind the end grain.")
    weld_leg: PositiveLength | None = Field(default=None, description="Leg of the fillets that hold the plate to the straps.")
    weld_length: PositiveLength | None = Field(default=None, description="Length of all fillets on one side of the truss together.")
    yield_stress: Stress | None = Field(default=None, description="Yield stress of the shoe's steel.")
    seat: HeelSeatForm | None = Field(default=None, description="What the truss lies on.")


class ShoeWeldForm(Form):
    """The fillets that hold a shoe's sides to its back."""

    leg: PositiveLength = Field(description="Leg of the fillets.")
    length: PositiveLength = Field(description="Length of all of them together.")
    electrode: Literal["E60", "E70", "E80"] = Field(default="E60", description="Strength of the weld metal. E60 if not given.")


class SeatForm(Form):
    """What a plate of strands may press on at one heel. Heights are from the bottom chord's axis."""

    on: Literal["end grain", "shoe", "top chord"] = Field(
        description="End grain of the bottom chord (old heel bolts keep the whole thrust), back of the heel shoe, or plumb end of the top chord."
    )
    face: Coordinate | None = Field(default=None, description="From the bottom chord's end grain outward to the face that is pressed on.")
    low: Coordinate | None = Field(default=None, description="Lower edge of that face.")
    high: Coordinate | None = Field(default=None, description="Upper edge of that face.")
    width: PositiveLength | None = Field(default=None, description="Of a shoe's back, across the truss.")
    gap: PositiveLength | None = Field(default=None, description="Between a shoe's back and the end grain: it is open.")
    weld: ShoeWeldForm | None = Field(default=None, description="Of a shoe: what holds its sides, the plates of the heel's bolts, to its back.")
    yield_stress: Stress | None = Field(default=None, description="Of a shoe's steel; 33000 psi if not given.")
    strength: Stress | None = Field(default=None, description="Tensile strength of a shoe's steel; 60000 psi if not given.")


class StrandRunForm(Form):
    """Where you want the strands; what is left out the tool chooses."""

    height: Coordinate | None = Field(default=None, description="Their middle over the bottom chord's axis; below it is negative.")
    off: PositiveLength | None = Field(default=None, description="Distance of their centres from the truss's plane.")


class AcrossForm(Form):
    """Something that stands across the bottom chord, on both faces alike, where strands would run."""

    what: Words = Field(description="What it is, for instance 'blocking' or 'lug of the splice'.")
    material: Literal["wood", "steel"] = Field(description="Of what it is.")
    at: Length = Field(description="Its middle along the span.")
    thickness: PositiveLength = Field(description="Measured along the chord.")
    low: Coordinate = Field(description="Its lower edge, from the chord's axis.")
    high: Coordinate = Field(description="Its upper edge, from the chord's axis.")
    inner: PositiveLength = Field(description="Where it begins, from the truss's plane.")
    outer: PositiveLength = Field(description="Where it ends, from the truss's plane.")
    slot: YesNo = Field(default=False, description="May it be slotted for the strands? no if not given.")
    pulled: PositiveForce | None = Field(default=None, description="Tension square to the truss's plane that a steel one carries, if anybody knows.")


class StrandBearingForm(Form):
    """Where plates of strands may press: on the bottom chord's end grain if nothing is said."""

    left: SeatForm | None = Field(default=None, description="At the left heel.")
    right: SeatForm | None = Field(default=None, description="At the right heel.")


class TrussType(Form):
    """Geometry, sections and connections that several trusses share."""

    span: PositiveLength = Field(description="Between the heels' work points.")
    panels: Panels | None = Field(default=None, description="Number of equal panels of the bottom chord.")
    panel_points: list[PositiveLength] | None = Field(default=None, description="Or the stations of the bottom joints between the heels.")
    top_points: Literal["above", "between"] | list[PositiveLength] | None = Field(
        default=None, description="Top joints: above the bottom joints, between them, or stations along the span."
    )
    wood: WoodForm | None = Field(default=None, description="Wood of this type.")
    top_chord: TopChord = Field(description="The top chord.")
    bottom_chord: Chord = Field(description="The bottom chord.")
    webs: list[Webs] = Field(
        description="Groups of webs. Joints are L0, L1 ... along the bottom (L0 and the last are the heels) and U1, U2 ... along the top."
    )
    connections: list[ConnectionForm] = Field(default=[], description="Bolted ends.")
    end_bearings: list[BearingForm] = Field(default=[], description="Ends that push on a shoe or on wood.")
    splices: list[SpliceForm] = Field(default=[], description="Butt joints of the chords' plies.")
    no_drill_zones: list[Zone] = Field(default=[], description="Where no new bolt may go.")
    purlins: Braced | list[Length] | None = Field(
        default=None, description="Where purlins bring the roof's load: joints, every 24 in, or stations; all along the chord if not given."
    )
    purlin_height: Length = Field(default=0.0, description="Middle of a purlin above the chord's axis, at right angles to it. 0 if not given.")
    heel_room: HeelRoomForm | None = Field(default=None, description="Clear distance behind the bottom chord's ends; needed for strands.")
    strand_run: StrandRunForm | None = Field(default=None, description="Where you want the strands; the tool chooses if not given.")
    across_the_chord: list[AcrossForm] = Field(default=[], description="What stands across the bottom chord where strands would run.")
    heels: list[ShoeForm] = Field(default=[], description="Shoes and seats of the heels.")
    strand_bearing: StrandBearingForm | None = Field(default=None, description="What plates of strands may press on at the heels.")
    supports: SupportsForm | None = Field(default=None, description="Bearings. Left pin, right roller at the work points if not given.")


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
