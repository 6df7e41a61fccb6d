"""Does it go together on site: holes, grips, seats, tools, collisions, ways in. From the neutral record alone, without the solid kernel.

Not yet: room for jacks and shores (their plan is not written yet), parts that are turned on their way in, ways in that are not straight.
"""

from detailgen.checker.fit.judge import fits, judge_fit, package_fit, package_fit_json

__all__ = ["fits", "judge_fit", "package_fit", "package_fit_json"]
