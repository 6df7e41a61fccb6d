"""The independent checker: measures drawings, looks up tables, reports. Shares no arithmetic with the rules that it judges.

Read today: DXF (R2000 to R2018; inch, foot, mm, cm, m by $INSUNITS), model space; outlines as LWPOLYLINE, POLYLINE or as tagged lines and arcs
that close; holes as circles or two half-circle arcs, slots with round ends; entities seen from behind (mirrored); a face view moved, turned by a
free angle or drawn in any place; dimensions linear, aligned, radial, diametric, with their text, their picture and their two points; thickness from
the plan view, or from the name of a cut file; a neutral detail.

Measured: outline, holes, rows, staggered rows, spacing, gauge, distances to ends and edges for each direction and sign of load, nearest edge in any
direction, outer rows, net section.

Judged: bolts in wood by the rows of the wood standard (full, reduced with C_delta, not allowed), bolts in steel by the steel standard, hole sizes,
holes of one group against each other over all parts, parts of one mark against each other over all files, plan length, dimension texts.

Not yet: holes and outlines inside blocks, scaled copies, paper space, DXF R12 (it carries no unit), rows of parts tables against the drawing,
slots against a rule, a dimension whose hole has gone while another one stands in line with its end, a stale part of a regular pattern that fits
another place of the joint as well, loads of structural blocks (they state none and count as not loaded), quarter and half turns of a
rectangle (they leave no trace), no-drill zones and old holes beside new ones, greatest spacing in
steel (the gap under a splice plate cannot be told from a wide spacing), the end distance of sloped cuts other than along the grain, strength of
net sections and tear-out, foreign drawings with a side file, lag screws, dowels and connectors, EN 1995-1-1.
"""

from detailgen.checker.check import Checked, FileChecked, check_detail, check_file, check_paths, checks_json, judge, result_json

__all__ = ["Checked", "FileChecked", "check_detail", "check_file", "check_paths", "checks_json", "judge", "result_json"]
