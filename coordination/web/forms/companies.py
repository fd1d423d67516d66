"""Companies of the trades, and people who stand on the project."""

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.access.models import ROLES as ALL_ROLES
from coordination.access.permissions import may
from coordination.access.queries import CompanyView
from coordination.access.visitors import Visitor
from coordination.web.forms.base import DayField, SheetForm
from coordination.web.languages import own_names
from coordination.web.words import ROLES

PHONE = {"type": "tel", "autocomplete": "off"}
VERB_OF_ROLE = {"coordinator": "add a member for the supplier", "lift crew": "add a member for the supplier"}
MAILED = _(
    "Notices go to it while nobody of theirs has an account: what is offered to them, what came back, what reopened. "
    "Whoever may see their telephone number sees it."
)
Trades = Iterable[tuple[str, str]]


class AssignForm(SheetForm):
    """Which company does a trade's work. ``trade`` is posted hidden."""

    trade = forms.ChoiceField(widget=forms.HiddenInput)
    company = forms.ChoiceField(label=_("Company"))
    from_day = DayField(label=_("Can come from"), required=False)

    def __init__(self, *args: Any, trades: Trades, companies: Iterable[CompanyView], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["trade"].choices = list(trades)  # type: ignore[attr-defined]
        self.fields["company"].choices = _companies(companies)  # type: ignore[attr-defined]

    def clean_company(self) -> UUID:
        return UUID(self.cleaned_data["company"])


class CompanyForm(SheetForm):
    """A company that the supplier does not know yet."""

    name = forms.CharField(label=_("Company"), max_length=120)
    contact = forms.CharField(label=_("Who to ask for"), max_length=120, required=False)
    phone = forms.CharField(
        label=_("Telephone"), max_length=40, required=False, widget=forms.TextInput(attrs=PHONE)
    )
    email = forms.EmailField(label=_("E-mail"), required=False, help_text=MAILED)
    signs_in = forms.BooleanField(
        label=_("They enter their own work, with an account or a link"), required=False, initial=True
    )


class ReachForm(SheetForm):
    """How a company that works here is reached. ``company`` and ``line`` (its trade on the page) are posted hidden."""

    company = forms.UUIDField(label=_("Company"), widget=forms.HiddenInput)
    line = forms.CharField(label=_("Trade"), widget=forms.HiddenInput, max_length=40)
    contact = forms.CharField(label=_("Who to ask for"), max_length=120, required=False)
    phone = forms.CharField(
        label=_("Telephone"), max_length=40, required=False, widget=forms.TextInput(attrs=PHONE)
    )
    email = forms.EmailField(label=_("E-mail"), required=False, help_text=MAILED)

    @classmethod
    def of(cls, company: CompanyView, line: str) -> "ReachForm":
        """As it stands, under ids of its own: a company may stand on several lines."""
        told = {"company": company.uid, "line": line}
        told |= {"contact": company.contact, "phone": company.phone, "email": company.email}
        return cls(initial=told, auto_id=f"id_reach_{line.replace(' ', '-')}_%s")


class MemberForm(SheetForm):
    """Somebody with an account, in one role. Only roles that the visitor may give are offered."""

    name = forms.CharField(label=_("Name"), max_length=120)
    email = forms.EmailField(label=_("E-mail"), help_text=_("They sign in with a link that is mailed to it."))
    phone = forms.CharField(
        label=_("Telephone"), max_length=40, required=False, widget=forms.TextInput(attrs=PHONE)
    )
    language = forms.ChoiceField(
        label=_("Language of their mails and pages"),
        required=False,
        help_text=_("They can choose another one there. An account that is there already keeps its own."),
    )
    company = forms.ChoiceField(label=_("Company"))
    role = forms.ChoiceField(label=_("Role"))
    trade = forms.ChoiceField(label=_("Trade"), required=False, help_text=_("A subcontractor needs one."))
    deputy = forms.BooleanField(label=_("Stands in when the first of this role is away"), required=False)

    def __init__(
        self,
        *args: Any,
        visitor: Visitor,
        trades: Trades,
        companies: Iterable[CompanyView],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        roles = [role for role in ALL_ROLES if may(visitor, VERB_OF_ROLE.get(role, "add a member"))]
        choices = {
            "language": list(own_names().items()),
            "company": _companies(companies),
            "role": [("", ""), *((role, ROLES[role]) for role in roles)],
            "trade": [("", _("none")), *trades],
        }
        for name, listed in choices.items():
            self.fields[name].choices = listed  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        if told.get("role") == "subcontractor" and not told.get("trade"):
            self.add_error("trade", _("A subcontractor needs a trade."))
        return told

    def clean_company(self) -> UUID:
        return UUID(self.cleaned_data["company"])


class LeavingForm(SheetForm):
    """A membership that ends."""

    member = forms.UUIDField(label=_("Member"), widget=forms.HiddenInput)


def _companies(companies: Iterable[CompanyView]) -> list[tuple[str, str]]:
    return [("", ""), *((str(company.uid), company.name) for company in companies)]
