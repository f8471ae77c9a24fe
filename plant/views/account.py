"""Signing in and out, and one's own password."""

from typing import Any

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash, views
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse_lazy
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_protect
from django.views.decorators.http import require_http_methods, require_safe

from plant.account_forms import ForgottenForm, NewPasswordForm, OwnPasswordForm, SignInForm
from plant.services import passwords

# On a device of one's own; elsewhere the session ends with the shift (settings).
_STAY_SIGNED_IN_S = 30 * 24 * 3600


class SignIn(views.LoginView):
    template_name = "plant/account/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def get_success_url(self) -> str:
        # Here is where one comes from, not where one wants to be.
        wanted: str = super().get_success_url()
        is_here = wanted.partition("?")[0] == self.request.path
        return self.get_default_redirect_url() if is_here else wanted

    def form_valid(self, form: Any) -> HttpResponse:
        answer = super().form_valid(form)
        if form.cleaned_data["stay"]:
            self.request.session.set_expiry(_STAY_SIGNED_IN_S)
        return answer


# Whose session has ended meanwhile is where they wanted to be, not at a refusal.
@method_decorator(login_not_required, name="dispatch")
class SignOut(views.LogoutView):
    pass


class ChangePassword(views.PasswordChangeView):
    template_name = "plant/account/password_change.html"
    form_class = OwnPasswordForm
    success_url = reverse_lazy("today")

    def form_valid(self, form: Any) -> HttpResponse:
        passwords.set_own_password(user=form.user, password=form.cleaned_data["new_password1"])
        update_session_auth_hash(self.request, form.user)
        messages.success(self.request, _("Your password is changed."))
        return redirect(self.get_success_url())


@login_not_required
@never_cache
@csrf_protect
@require_http_methods(["GET", "POST"])
def password_forgotten(request: HttpRequest) -> HttpResponse:
    form = ForgottenForm(request.POST if request.method == "POST" else None)
    if not form.is_valid():
        status = 400 if form.is_bound else 200
        return render(request, "plant/account/forgotten.html", {"form": form}, status=status)
    passwords.ask_for_link(
        address=form.cleaned_data["address"],
        site=f"{request.scheme}://{request.get_host()}",
        now=timezone.now(),
    )
    return redirect("password-forgotten-sent")


@login_not_required
@require_safe
def password_forgotten_sent(request: HttpRequest) -> HttpResponse:
    return render(request, "plant/account/forgotten_sent.html")


class NewPassword(views.PasswordResetConfirmView):
    template_name = "plant/account/new_password.html"
    form_class = NewPasswordForm
    success_url = reverse_lazy("sign-in")

    def form_valid(self, form: Any) -> HttpResponse:
        answer = super().form_valid(form)
        messages.success(self.request, _("Your password is changed. Sign in with it."))
        return answer
