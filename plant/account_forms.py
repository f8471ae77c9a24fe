"""What people fill in about their own account."""

from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm, SetPasswordForm
from django.utils.translation import gettext_lazy as _

from plant.models import User
from plant.services import passwords

# What a user name may have at most (django.contrib.auth).
_LONGEST_NAME = 150


class SignInForm(AuthenticationForm):
    stay = forms.BooleanField(
        label=_("Keep me signed in on this device"),
        required=False,
        help_text=_("For a device of your own. Otherwise you are signed out after a shift."),
    )
    error_messages = {
        "invalid_login": _(
            "This name and password do not belong together. Capital and small letters count in "
            "the password."
        ),
        "inactive": _("This account is out of use. Ask your administrator."),
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = _("E-mail address or user name")
        self.fields["username"].widget.attrs["spellcheck"] = "false"

    def clean_username(self) -> str:
        # One spelling for the lock-out's count as well: case does not make it another person.
        name: str = self.cleaned_data["username"].strip().lower()
        # Nobody's; the lock-out's count could not even keep it.
        if len(name) > _LONGEST_NAME:
            raise self.get_invalid_login_error()
        return name


class OwnPasswordForm(PasswordChangeForm):
    def clean_new_password1(self) -> str:
        new: str = self.cleaned_data["new_password1"]
        # Whoever gave a one-time password still knows it.
        if self.user.check_password(new):
            raise forms.ValidationError(_("That is the password you have. Choose another."))
        return new


class NewPasswordForm(SetPasswordForm):
    def save(self, commit: bool = True) -> User:
        passwords.set_own_password(user=self.user, password=self.cleaned_data["new_password1"])
        return self.user


class ForgottenForm(forms.Form):
    address = forms.EmailField(
        label=_("E-mail address"),
        max_length=254,
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )
