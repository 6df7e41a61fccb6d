"""The independent checker: measures drawings, looks up tables, reports. Shares no arithmetic with the rules that it judges.

Read today: DXF text of R12 to R2018 by its own reader (binary DXF by way of ezdxf); inch, foot, mm, cm, m by $INSUNITS, or, where nothing is
stated, the one unit in which every hole fits the bolt that it names; model space and paper space; blocks moved, turned, mirrored, scaled, nested,
in arrays; outlines as polylines or as tagged lines and arcs that close; holes as circles, ellipses, arcs, polylines and many-sided polygons that
are round, slots with round ends; entities seen from behind; face views moved, turned, copied; dimensions linear, aligned, radial, diametric, with
text, picture, factor and points; tables, captions, callouts, scales, no-drill zones and bolt heads of our own sheets; thickness from the plan view,
or from the name of a cut file; a neutral detail as record or JSON; a drawing by others with a file of facts.

Measured: outline, holes, rows, staggered rows, spacing, gauge, distances to ends and edges for each direction and sign of load, nearest edge in any
direction, outer rows, net section, neighbouring groups and old holes, scale of a view, where the plan puts a part.

Judged: net section, row and group tear-out of wood at its bolts (NDS 2018 Appendix E, EN 1995-1-1 annex A) by each duration of load;
bolts, lag screws, dowels, nails, screws, rings and plates in wood by whatever tables of the schemas the named standard has (full, reduced
with C_delta, not allowed), bolts and strength of splice plates in steel by the steel standard, hole sizes where the standard has a table for them,
holes of one group against each other over all parts, parts of one mark against each other over all files, face views against plan, elevation,
tables and texts.

Not yet: splines and ordinates, views turned by a quarter or mirrored and then exploded (a rectangle keeps no trace, but holes and plan mostly
tell), tables whose part is shown on another sheet (cannot be checked), slots against a rule, a dimension whose hole has gone while another one
stands in line with its end, loads of structural blocks (they state none and count as not loaded), greatest spacing in steel (the gap under a splice
plate cannot be told from a wide spacing), the end distance of sloped cuts other than along the grain, lead holes of screws, chain net sections of
more than 400 holes, strength of wood at rings, nails and screws, and of wood that is damaged.
"""

from detailgen.checker.check import Checked, FileChecked, check_detail, check_file, check_paths, checks_json, judge, result_json

__all__ = ["Checked", "FileChecked", "check_detail", "check_file", "check_paths", "checks_json", "judge", "result_json"]
