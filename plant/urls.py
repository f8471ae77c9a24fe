"""Addresses of the register, of sign-in and of administration."""

from django.urls import include, path

from plant.views import account, finding, history, integrators, people, plants, today

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
    path("people/", people.people, name="people"),
    path("people/new/", people.person_new, name="person-new"),
    path("people/<int:pk>/", people.person, name="person"),
    path("people/<int:pk>/password/", people.person_password, name="person-password"),
    path("people/<int:pk>/out-of-use/", people.person_out_of_use, name="person-out-of-use"),
    path("people/<int:pk>/back/", people.person_back, name="person-back"),
    path("plants/", plants.plants, name="plants"),
    path("plants/new/", plants.plant_new, name="plant-new"),
    path("plants/<slug:code>/", plants.plant, name="plant"),
    path("plants/<slug:code>/history/", history.plant_history, name="plant-history"),
    path("", include("plant.key_urls")),
    path("for-integrators/", integrators.integrators, name="integrators"),
    path("for-integrators/reference/", integrators.reference, name="api-reference"),
    path("", include("plant.system_urls")),
    path("", include("plant.exchange_urls")),
    path("", include("plant.webhook_urls")),
]
