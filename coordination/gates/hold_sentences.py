"""Why a gate, work, an inspection's result or a witness point of a project's own cannot be so."""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

SENTENCES: Mapping[str, str | Promise] = {
    "work without name": _("Say what is to be done."),
    "no such place": _("%(typed)s is no place of this site."),
    "no such trade": _("%(typed)s is no trade."),
    "days out of range": _("It takes one to %(most)s working days."),
    "before work that has begun": _("%(subject)s has begun; nothing new can come before it."),
    "work closes a ring": _("This work would wait for itself."),
    "work of the plan": _("%(subject)s follows from the site facts; it cannot be taken back."),
    "work has begun": _("%(subject)s has begun; it cannot be taken back."),
    "an inspection asks for it": _("%(subject)s puts right what an inspection did not pass; it stays."),
    "a gate reads it": _("A gate waits for %(subject)s; it stays."),
    "no inspection": _("%(subject)s is not the result of an inspection."),
    "passed has no items": _(
        "A passed inspection has no items; with items it is passed with corrections, or failed."
    ),
    "say what was not passed": _("Name each thing that was not passed, with its place and trade."),
    "only a failed inspection comes again": _("Only a failed inspection comes again on a day."),
    "item due after the re-inspection": _("“%(typed)s” must be done before the re-inspection."),
    "gate without name": _("Give the gate a name."),
    "gate of that name": _("There is a gate called “%(typed)s” already."),
    "gate in front of nothing": _("Say which work must wait behind the gate."),
    "gate without condition": _("Say what the gate waits for: a gate without a condition holds nothing."),
    "behind a gate too late": _("%(subject)s has begun; a gate stands in front of work that has not."),
    "no such work": _("%(typed)s is no work of the standing plan."),
    "no such condition": _("A gate cannot wait for this: %(typed)s."),
    "no such role": _("The contractor or the coordinator clears it; those two, the crew and the owner sign."),
    "gate closes a ring": _(
        "Work behind the gate would have to be accepted before the gate: it would wait for itself."
    ),
    "say why taken back": _("Say why it is taken back."),
    "gate of the plan": _("%(subject)s follows from the site facts; it cannot be taken back."),
    "gate was cleared": _("%(subject)s was cleared before; it stays."),
    "another gate reads it": _("Another gate waits for %(subject)s; take that one back first."),
    "no such party": _("%(typed)s is no role and no authority."),
    "say what is witnessed": _("Say what is to be seen."),
    "notice out of range": _("Notice is up to thirty working days."),
    "nothing left to witness": _("%(subject)s is finished; there is nothing left to attend."),
    "say how it was told": _("Say how the party was told: telephone, letter, the authority’s own page."),
    "told for a day that is over": _("%(day)s is over already."),
    "not the day yet": _("That day, %(day)s, has not come yet."),
    "say who came": _("Say who came."),
    "attach its own document": _(
        "There is no variance for %(subject)s: attach the authority’s own document for it, with its number and date."
    ),
    "those named concede": _("%(subject)s has a concession: those whom it names let it go."),
    "say whose variance": _("Say which authority gave the variance."),
    "nothing to release": _("%(subject)s is satisfied; there is nothing to let go."),
    "variance without number": _("Give the number that stands on the variance."),
    "variance without date": _("Give the date that stands on the variance."),
    "variance not dated yet": _("The variance is dated in the future: look at its date again."),
    "variance without scan": _("Choose the scan of the variance, or take a photo of it."),
    "say what it allows": _("Say what the variance allows."),
    "say how far it goes": _("Say for which part of the work it holds, and on which conditions."),
}
