"""A forgotten password: a link by mail, good once and for an hour."""

from __future__ import annotations

from typing import Any

from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.forms import SetPasswordForm
from django.contrib.auth.views import PasswordResetConfirmView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse_lazy
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from jobs import throttle
from jobs.browsers import remember_browser
from jobs.models import User
from jobs.pages.doors import closed
from jobs.pages.errors import too_many
from jobs.pages.tongue import spoken, words_for
from jobs.pages.tries import by_network, seconds_to_wait
from jobs.selectors.second_factors import has_second_factor
from jobs.services.passwords import password_reset_ask, password_set
from jobs.throttle import Counter

TOO_MANY_MAILS = "Too many mails were asked for."
TOO_MANY_TRIES = "Too many passwords were tried."


class NewPasswordForm(SetPasswordForm):
    """Django's form, whose password is set by our service: with a record and a mail, in `language`."""

    language = "en"

    def save(self, commit: bool = True) -> User:
        user: User = self.user
        password = self.cleaned_data["new_password1"]
        password_set(user=user, password=password, how="by mail", now=timezone.now(), language=self.language)
        return user


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def forgotten(request: HttpRequest) -> HttpResponse:
    """Ask for a link. The answer is the same for every address, known or not."""
    if request.method != "POST":
        return spoken(request, "jobs/password_forgotten.html")
    email = request.POST.get("email", "").strip().lower()[:254]
    if "@" not in email or "\x00" in email:
        wrong = "Write the e-mail with which you sign in."
        return spoken(request, "jobs/password_forgotten.html", {"wrong": wrong}, status=400)
    counters = [Counter(throttle.MAIL_TO, email), *by_network(request, throttle.MAIL_FROM_NETWORK)]
    if wait := seconds_to_wait(counters):
        return too_many(request, wait, TOO_MANY_MAILS)
    password_reset_ask(email=email, language=words_for(request).language)
    return redirect("password-mailed")


@never_cache
@require_http_methods(["GET", "HEAD"])
def mailed(request: HttpRequest) -> HttpResponse:
    """Said to everybody who asked."""
    return spoken(request, "jobs/password_mailed.html")


@method_decorator([sensitive_post_parameters(), require_http_methods(["GET", "HEAD", "POST"])], name="dispatch")
class NewPassword(PasswordResetConfirmView):
    """Django's view: the token leaves the address at once, into the session, so that no log or referrer keeps it."""

    template_name = "jobs/password_new.html"
    form_class = NewPasswordForm
    success_url = reverse_lazy("sign-in", query={"new": 1})

    def get_user(self, uidb64: str) -> User | None:
        """Whose link it is. The second of two who use it at one moment waits here, and then finds it used."""
        user: User | None = super().get_user(uidb64)
        if user is None or self.request.method != "POST":
            return user
        return User.objects.select_for_update(no_key=True).get(pk=user.pk)

    def get_form(self, form_class: Any = None) -> Any:
        form = super().get_form(form_class)
        form.language = words_for(self.request).language
        return form

    def form_valid(self, form: Any) -> HttpResponse:
        """The password is set. The browser is known from now on, for the mail proved whose it is; where a second factor
        is asked, only after that."""
        response = super().form_valid(form)
        if not has_second_factor(form.user.pk):
            remember_browser(self.request, response, form.user.email)
        return response

    def render_to_response(self, context: dict[str, Any], **options: Any) -> HttpResponse:
        if not self.validlink:
            options["status"] = 404
        elif self.request.method == "POST":
            options["status"] = 400
        return closed(super().render_to_response({"words": words_for(self.request), **context}, **options))


def change(request: HttpRequest, user: User) -> tuple[HttpResponse | None, list[str]]:
    """Take a new password in place of the old: an answer to give at once, or what is wrong."""
    counters = [Counter(throttle.PASSWORD_AGAIN, str(user.pk))]
    if wait := seconds_to_wait(counters):
        return too_many(request, wait, TOO_MANY_TRIES), []
    if not user.check_password(request.POST.get("old", "")):
        return None, ["The password you have now is another one. Type it again."]
    throttle.was_right(counters)
    new = request.POST.get("new", "")
    form = SetPasswordForm(user, {"new_password1": new, "new_password2": new})
    if not form.is_valid():
        return None, [str(sentence) for sentences in form.errors.values() for sentence in sentences]
    language = words_for(request).language
    password_set(user=user, password=new, how="by the old one", now=timezone.now(), language=language)
    # The session that changed it goes on, under a new key; every other one has ended.
    update_session_auth_hash(request, user)
    return redirect("account"), []
