"""Addresses of the register, of sign-in and of administration."""

from django.urls import include, path

from plant.views import account, finding, today

urlpatterns = [
    path("", today.today, name="today"),
    path("search/", finding.search, name="search"),
    path("sign-in/", account.SignIn.as_view(), name="sign-in"),
    path("sign-out/", account.SignOut.as_view(), name="sign-out"),
    path("password/", account.ChangePassword.as_view(), name="password-change"),
    path("password/forgotten/", account.password_forgotten, name="password-forgotten"),
    path(
        "password/forgotten/sent/",
        account.password_forgotten_sent,
        name="password-forgotten-sent",
    ),
    path("password/new/<uidb64>/<token>/", account.NewPassword.as_view(), name="password-new"),
    path("", include("plant.register_urls")),
    path("", include("plant.key_urls")),
]
