"""The revision that stands on the approved drawing that was handed in, beside the one the plan was made from."""

from coordination.gates.holding import Holding
from coordination.siteprep.plan import Plan

# Where a drawing of the maker is handed in; what is approved governs.
DRAWINGS = ("drawing-approval@site#approved-drawing", "layout-drawing@site#drawing")


def other_revision(holding: Holding, plan: Plan) -> str:
    """The revision of the newest drawing that counts, where it is another one than the plan's; else empty.

    A drawing without a number on it, and a plan without a revision, tell nothing.
    """
    for key in DRAWINGS:
        row = holding.requirement_by_key.get(key)
        counted = holding.shown[row.pk].counted if row is not None else ()
        numbers = [item.evidence.number.strip() for item in counted if item.evidence.number.strip()]
        if numbers:
            differs = (
                bool(plan.drawing_revision) and numbers[-1].casefold() != plan.drawing_revision.casefold()
            )
            return numbers[-1] if differs else ""
    return ""
