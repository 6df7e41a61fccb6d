"""The independent checker: measures drawings, looks up tables, reports. Shares no arithmetic with the rules that it judges.

Read: DXF text of R12 to R2018 by its own reader (binary DXF by way of ezdxf); inch, foot, mm, cm, m by $INSUNITS, or, where nothing is stated,
the one unit in which every hole fits the bolt that it names; model space and paper space; blocks moved, turned, mirrored, scaled, nested, in
arrays; outlines as polylines, splines, or tagged lines and arcs that close; holes as circles, ellipses, arcs, polylines, splines and many-sided
polygons that are round; slots with round ends, whole or taken apart; entities seen from behind; face views moved, turned, copied; dimensions
linear, aligned, radial, diametric, by ordinates and of angles, with text, picture, factor and points; tables, captions, callouts, scales, no-
drill zones, title blocks and bolt heads of our own sheets; lists that go on on another sheet; thickness from the plan view, or from the name of a
cut file; a neutral detail as record or JSON; a drawing by others with a file of facts.

Measured: outline, holes, rows, staggered rows, spacing, gauge, distances to ends and edges for each direction and sign of load, nearest edge in
any direction, outer rows, net sections (straight ones in wood, the worst chain in steel), neighbouring groups and old holes, scale of a view,
where the plan puts a part.

Judged: bolts, lag screws, drift bolts, dowels, nails, screws, staples, rings and plates in wood by whatever tables of the schemas the named
standard has (full, reduced with C_delta, not allowed), and their holes; net section, row and group tear-out of the wood by each duration of load
(NDS 2018 Appendix E; EN 1995-1-1 annex A); bolts and slots in steel, least and greatest distances, strength of splice plates by the steel
standard; holes of one group against each other over all parts; parts of one mark against each other over all files; face views against plan,
elevation, tables and texts; schedules, shop lists and the form for the site against the drawings that are checked together.

Not done: views turned by a quarter or mirrored and then exploded (a rectangle keeps no trace, but holes and plan mostly tell); slots in wood (no
standard here has a rule); a dimension whose hole has gone while another one stands in line with its end; how much a block beside
plates relieves these; the end distance of sloped cuts other than along the grain; the worst chain through more than 1,500 holes on one
side of a plate (cannot be checked); strength of wood at rings, nails and screws, and of wood that is damaged; in the form for the site, what is
measured from the truss and not from the joint.
"""

from detailgen.checker.check import Checked, FileChecked, check_detail, check_file, check_paths, checks_json, judge, result_json

__all__ = ["Checked", "FileChecked", "check_detail", "check_file", "check_paths", "checks_json", "judge", "result_json"]
