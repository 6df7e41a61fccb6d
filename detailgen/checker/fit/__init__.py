"""Does it go together on site: holes, grips, seats, tools, collisions, old bolts, jacks, ways in. From the neutral record alone, without a kernel.

Not yet: parts that are turned on their way in, ways in that are not straight, washers of old bolts (no survey tells them).
"""

from detailgen.checker.fit.judge import fits, judge_fit, package_fit, package_fit_json

__all__ = ["fits", "judge_fit", "package_fit", "package_fit_json"]
