"""The site map: each app's part under its own prefix."""

from django.contrib.auth import views as auth
from django.urls import include, path, reverse_lazy

from claims.guesses import SignIn

account_urls = [
    path("sign-in/", SignIn.as_view(), name="login"),
    path("sign-out/", auth.LogoutView.as_view(), name="logout"),
    path(
        "new-password/<uidb64>/<token>/",
        auth.PasswordResetConfirmView.as_view(
            template_name="registration/new_password.html", success_url=reverse_lazy("login")
        ),
        name="new_password",
    ),
]

handler500 = "claims.not_saved.no_answer"
urlpatterns = [
    path("", include(account_urls)),
    path("", include("claims.urls")),
    path("", include("trips.urls")),
    path("", include("reports.urls")),
]
