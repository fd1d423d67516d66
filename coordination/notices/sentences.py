"""The subject of each kind of mail."""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

SUBJECTS: Mapping[str, str | Promise] = {
    "offered": _("%(site)s: offered to you: %(what)s"),
    "reminded": _("%(site)s: your answer is awaited: %(what)s"),
    "late": _("%(site)s: an answer is late: %(what)s"),
    "refused": _("%(site)s: came back with reasons: %(what)s"),
    "reopened": _("%(site)s: gate reopened: %(what)s"),
    "cleared": _("%(site)s: gate cleared: %(what)s"),
    "unheard": _("%(site)s: nobody was told at %(who)s: %(what)s"),
    "unreminded": _("%(site)s: nobody was reminded at %(who)s: %(what)s"),
    "answered": _("%(site)s: question answered: %(what)s"),
}
