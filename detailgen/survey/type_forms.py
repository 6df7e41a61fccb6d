"""Forms of a truss type: its wood, members, connections, heels. Keys are the names with spaces."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from detailgen.survey.form import Form
from detailgen.survey.quantities import (
    Braced,
    Coordinate,
    Gravity,
    Length,
    Note,
    Panels,
    PositiveForce,
    PositiveLength,
    RotationalStiffness,
    Slip,
    Stress,
    Words,
    YesNo,
)


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
