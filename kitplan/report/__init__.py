"""What people see: nouns to text and Markdown; no arithmetic beyond counting and sums."""

from kitplan.report.check import render_check
from kitplan.report.mend import render_mend
from kitplan.report.needs import render_needs
from kitplan.report.plan import render_counted, render_plan
from kitplan.report.replan import render_replan
from kitplan.report.review import render_review

__all__ = [
    "render_check",
    "render_counted",
    "render_mend",
    "render_needs",
    "render_plan",
    "render_replan",
    "render_review",
]
