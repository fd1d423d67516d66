"""What strangers get of a document, in words."""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from coordination.files.for_strangers import Given

COPY_NAMED = "copy-without-location"
BEING_MADE = _(
    "A copy without location and device data is still being made; open this page again in a minute."
)
COPY_LOST = _(
    "The copy without location and device data is not in the store any more. Tell the coordinator; whoever looks "
    "after the installation can have it made again."
)
GIVEN_AS: Mapping[str, str | Promise] = {
    "stripped": _("copy without location and device data"),
    "unsigned": _(
        "copy without location and device data; the original is signed, which no copy can be: whoever needs the "
        "signature asks for the original"
    ),
    "signed": _("as it was signed: nothing in it says where, by whom or with what it was made"),
}
NOT_GIVEN: Mapping[str, str | Promise] = {
    "locked": _("it is locked with a password, so location and device data cannot be taken out of a copy"),
    "unreadable": _("it is damaged, so location and device data cannot be taken out of a copy"),
    "too much": _(
        "it is too much to be gone through, so location and device data cannot be taken out of a copy"
    ),
    "traces left": _("it holds location or device data that cannot be taken out of a copy"),
}


def how_given(given: Given | None) -> str:
    """What a stranger gets or why nothing, in a few words; of what was not looked at yet, nothing."""
    if given is None:
        return ""
    if given.how in NOT_GIVEN:
        return str(_("not given out: %(why)s")) % {"why": NOT_GIVEN[given.how]}
    return str(GIVEN_AS[given.how])
