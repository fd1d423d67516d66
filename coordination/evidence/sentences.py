"""Sentences for the reasons of this floor: what is wrong, and what would be right."""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

SENTENCES: Mapping[str, str | Promise] = {
    # files
    "empty": _("%(file)s is empty. Choose it again."),
    "too many bytes": _("%(file)s is larger than %(limit)s bytes. Take the photo at a smaller size."),
    "too many pixels": _("%(file)s has more than %(limit)s pixels. Take the photo at a smaller size."),
    "one piece": _(
        "%(file)s is a HEIC packed as one single piece of more than %(limit)s MB, which cannot be opened here. "
        "Save it as a JPEG and hand that in, or hand in the photo as the phone itself stored it."
    ),
    "not a picture": _(
        "%(file)s is no picture, whatever its name says. Hand in a JPEG, PNG, WebP or HEIC photo."
    ),
    "kind not accepted": _("%(file)s is a %(kind)s file. Hand in a JPEG, PNG, WebP or HEIC photo."),
    "gif": _(
        "%(file)s is a GIF, which is not taken, also when it moves. Hand in a JPEG, PNG, WebP or HEIC photo."
    ),
    "svg": _("%(file)s is a drawing with code in it. Hand in a JPEG, PNG, WebP or HEIC photo."),
    "animated": _("%(file)s moves. Hand in a still photo."),
    "truncated": _("%(file)s is cut off. Its sending was interrupted; choose it again."),
    "damaged": _("%(file)s is damaged and cannot be read. Take the photo again."),
    "another file inside": _("%(file)s hides another file. Hand in the photo as the camera made it."),
    "not a document": _("%(file)s is neither a PDF nor a picture. Hand in a PDF or a photo of the paper."),
    "locked": _("%(file)s is locked with a password. Hand it in without one."),
    "no pages": _("%(file)s has no pages."),
    "not stored": _("%(file)s could not be stored. Nothing of it was kept; try again."),
    # readings
    "not a length": _(
        '%(typed)s is no length that can be read (%(why)s). Write it as 9\' 4 1/2", 14" or 2857 mm.'
    ),
    "not a number": _("%(typed)s is no number. Write the number that was read, in %(unit)s."),
    "not a whole number": _("%(typed)s is not a whole number."),
    "wrong unit": _("%(typed)s is in another unit. Write it in %(unit)s."),
    "not a date": _("%(typed)s is no date. Write it as 2026-03-31."),
    # series of readings
    "readings missing": _("Type what was read, or paste it."),
    "too many days": _("These are more days than %(most)s."),
    "the same moment twice": _("%(typed)s stands there twice. Give the hour too."),
    "no moment": _("%(typed)s is no day and hour. Write it as 2026-03-31 7:00."),
    "one of two days": _("%(typed)s could be %(one)s or %(other)s. Write it as %(one)s."),
    "no such row": _("%(typed)s is no row that is asked for here."),
    "no such column": _("%(typed)s stands in a column that is not asked for here."),
    "too many rows": _("%(typed)s stands in line %(line)s; there are not so many rows."),
    # handing in
    "say who took it": _("Only a named authorised person does this. Give that person’s name."),
    "taken ahead": _(
        "A reading of %(taken)s lies ahead: on the site it is %(now)s. Give the day and time at which it was read."
    ),
    "taken before the work": _(
        "A reading of %(taken)s was taken before this work was begun (%(day)s). Give the day and time at which it was "
        "read, from that day on, or read it again."
    ),
    "only papers are superseded": _("Only a paper is replaced by a newer one. Withdraw this first."),
    "superseded already": _("This paper was replaced or withdrawn meanwhile. Look at what stands now."),
    "not of this visit": _("%(requirement)s is another visit’s; hand the photo in there."),
    "nothing chosen": _("Nothing was chosen to hand in."),
    "reading missing": _("Type what was read."),
    "file missing": _("Choose the file to hand in."),
    "not a photo": _("A photo is asked for here."),
    "number missing": _("Give the number that stands on the authority's document."),
    "date missing": _("Give the date that stands on the authority's document."),
    "result missing": _("Say what the inspection came to: passed, passed with corrections, or failed."),
    "a failed inspection names its items": _(
        "A failed inspection is entered with the items that were not passed."
    ),
    "work not begun": _("This work has not begun. Press start first."),
    "already accepted": _("This is accepted already. To replace it, withdraw it first."),
    "no longer asked for": _("This is no longer asked for: the plan changed."),
    "terms changed": _(
        "What is asked for changed since you opened this page. Look at it again before handing in."
    ),
    "sent before for something else": _("This item was sent before for something else. Choose it again."),
    # marks over a photo
    "no photo to mark": _("Only a photo can be marked."),
    "withdrawn already": _("This photo was withdrawn; it is not marked any more."),
    "mark off the photo": _("The mark lies beside the photo. Put both of its points on it."),
    "mark without size": _("Both points of the mark are the same. Draw it from one place to another."),
    "mark without words": _("Say in a few words what the mark shows."),
    "dimension without length": _("Say how long the dimension is."),
    "too many marks": _(
        "There are %(most)s marks on this photo already. Take one back, or mark another photo."
    ),
    "put before elsewhere": _("This mark was put before on another photo. Put it again."),
    "no such mark": _("This mark does not stand on the photo any more. Look at it again."),
    "mark of another": _("Only %(name)s, who put this mark, takes it back."),
    "mark is a reason": _("A refusal names this mark, so it stays."),
    # for another
    "say for whom": _(
        "This is the work of %(company)s (%(trade)s). Say that you enter it for them, and where it came from."
    ),
    "another company": _("The company for this work is %(company)s, not %(typed)s."),
    "say the source": _("Say where the entry for %(company)s came from: a texted photo, a call."),
}
