"""Asking for a link to sign in with."""

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.web.forms.base import SheetForm


class SignInForm(SheetForm):
    """Only an address: there are no passwords."""

    email = forms.EmailField(
        label=_("Your e-mail address"),
        widget=forms.EmailInput(
            attrs={"autocomplete": "email", "inputmode": "email", "autocapitalize": "none"}
        ),
        error_messages={
            "required": _("Write your e-mail address."),
            "invalid": _("This is not an e-mail address; write it as name@company.example."),
        },
    )
