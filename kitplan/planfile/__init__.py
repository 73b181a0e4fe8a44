"""The plan file: a plan as one JSON document, and back again.

The document is what `kitplan plan --format json` prints and what later commands read. Beside the
plan it holds the texts it was made from, so that it can be checked anywhere. Knows nothing of
solving; pydantic is loaded when a file is read.
"""

from kitplan.planfile.check import check_document
from kitplan.planfile.read import PlanFile, read_plan
from kitplan.planfile.write import count_by_flow, format_document, make_document, write_plan

__all__ = [
    "PlanFile",
    "check_document",
    "count_by_flow",
    "format_document",
    "make_document",
    "read_plan",
    "write_plan",
]
