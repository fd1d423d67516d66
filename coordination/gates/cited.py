"""Sources that are no citations: notes, practice and this job's own papers have words in the reader's language.

A standard, an edition and a clause are cited as they are written, in every language.
"""

import re
from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from coordination.projects.trade_words import spoken

# As siteprep.model_sheet names the sheet that a figure is taken from.
DATA_SHEET = re.compile(
    r"model data sheet (?P<model>.+?), (?P<document>.+), revision (?P<revision>[^,]+)", re.DOTALL
)
DOCUMENTS: Mapping[str, str | Promise] = {
    "a compound maker's guide": _("a compound maker's guide"),
    "a lift maker's planning note": spoken(_("{a_lift} maker's planning note")),
    "a lift maker's public note for other classes than limited-use": spoken(
        _("{a_lift} maker's public note for other classes than limited-use")
    ),
    "a state inspection office's public list of what fails new lifts": spoken(
        _("a state inspection office's public list of what fails new {lifts}")
    ),
    "answer of the building official": _("answer of the building official"),
    "common practice": _("common practice"),
    "common practice, no source": _("common practice, no source"),
    "joint compound drying chart": _("joint compound drying chart"),
    "nameplate of the motor": _("nameplate of the motor"),
    "plan of the room": _("plan of the room"),
    "planning practice taken from US codes": _("planning practice taken from US codes"),
    "plumbing code as adopted locally": _("plumbing code as adopted locally"),
    "product reports of laminated veneer lumber": _("product reports of laminated veneer lumber"),
    "public hoistway notes of a lift dealer": spoken(_("public {hoistway} notes of {a_lift} dealer")),
    "readings of this survey": _("readings of this survey"),
    "tested shaft walls (1 in liner, CH studs, 5/8 in type X)": _(
        "tested shaft walls (1 in liner, CH studs, 5/8 in type X)"
    ),
    "the lift maker's approved drawing and data sheet": spoken(
        _("the {lift} maker's approved drawing and data sheet")
    ),
    "this job's data sheet": _("this job's data sheet"),
    "this job's drawing": _("this job's drawing"),
    "this job's input": _("this job's input"),
    "this job's site facts and construction drawings": _("this job's site facts and construction drawings"),
    "trade sheet on hydraulic lines": _("trade sheet on hydraulic lines"),
}


def document_words(document: str) -> str:
    """A document in the reader's language; a citation as it is written."""
    if sheet := DATA_SHEET.fullmatch(document):
        return gettext("model data sheet %(model)s, %(document)s, revision %(revision)s") % sheet.groupdict()
    return str(DOCUMENTS.get(document, document))
