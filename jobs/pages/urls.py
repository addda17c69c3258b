"""Addresses of the field's pages. Each stands in `jobs.permissions` by its name."""

from __future__ import annotations

from datetime import date

from django.urls import path, register_converter

from jobs.pages import (
    account,
    day,
    devices,
    entry,
    home,
    hours,
    inspect,
    invitation,
    job,
    log,
    look,
    members,
    offline,
    operations,
    passwords,
    photos,
    plan,
    second_factor,
    signing,
    tongue,
    wall,
    words,
)
from jobs.pages.typed import read_day


class DayConverter:
    """A date in an address, as 2026-11-23."""

    regex = r"\d{4}-\d{2}-\d{2}"

    def to_python(self, value: str) -> date:
        """Raises ValueError, which Django answers as an address of nothing."""
        return read_day(value)

    def to_url(self, value: date | str) -> str:
        return str(value)


class ColourConverter:
    """Six hexadecimal digits."""

    regex = r"[0-9a-f]{6}"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value.removeprefix("#")


register_converter(DayConverter, "day")
register_converter(ColourConverter, "colour")

urlpatterns = [
    path("", home.home, name="home"),
    path("sign-in/", signing.sign_in, name="sign-in"),
    path("language/", tongue.language, name="language"),
    path("sign-out/", signing.sign_out, name="sign-out"),
    path("organisation/", signing.choose_organisation, name="choose-organisation"),
    path("sign-in/code/", signing.sign_in_code, name="sign-in-code"),
    path("password/forgotten/", passwords.forgotten, name="password-forgotten"),
    path("password/mailed/", passwords.mailed, name="password-mailed"),
    path("password/new/<uidb64>/<token>/", passwords.NewPassword.as_view(), name="password-new"),
    path("invitation/", invitation.invitation, name="invitation"),
    path("invitation/<token>/", invitation.link, name="invitation-link"),
    path("account/", account.account, name="account"),
    path("account/password/", account.change_password, name="password-change"),
    path("account/sessions/end/", account.end_sessions, name="sessions-end"),
    path("account/second-factor/", second_factor.second_factor, name="second-factor"),
    path("members/second-factor/", members.second_factor_rule, name="second-factor-rule"),
    path("devices/", devices.devices, name="devices"),
    path("devices/<int:device>/", devices.device, name="device"),
    path("devices/<int:device>/revoke/", devices.revoke, name="device-revoke"),
    path("members/", members.members, name="members"),
    path("members/invite/", members.invite, name="invite"),
    path("members/<int:member>/", members.member, name="member"),
    path("members/<int:member>/end/", members.end, name="member-end"),
    path("invitations/<int:invitation>/send/", members.send_again, name="invitation-send"),
    path("invitations/<int:invitation>/withdraw/", members.withdraw, name="invitation-withdraw"),
    path("favicon.ico", look.icon, name="icon"),
    path("accent/<colour:colour>.css", look.accent, name="accent"),
    path("jobs/<int:job>/", job.job, name="job"),
    path("operations/", operations.operations, name="operations"),
    path("jobs/<int:job>/plan/", plan.plan, name="plan"),
    path("jobs/<int:job>/walls/<int:wall>/", wall.wall, name="wall"),
    path("jobs/<int:job>/walls/<int:wall>/drawings/<path:name>.svg", wall.wall_drawing, name="wall-drawing"),
    path("jobs/<int:job>/walls/<int:wall>/inspect/", inspect.inspect, name="inspect"),
    path("jobs/<int:job>/log/", log.choose_wall, name="log-wall"),
    path("jobs/<int:job>/log/<int:wall>/", log.choose_unit, name="log-unit"),
    path("work-units/<int:unit>/log/", log.log_entry, name="log-entry"),
    path("entries/<uuid:uuid>/", entry.entry, name="entry"),
    path("photos/<uuid:photo>.jpg", photos.photo, name="photo"),
    path("entries/<uuid:uuid>/correct/", log.correct_entry, name="correct-entry"),
    path("jobs/<int:job>/hours/", hours.hours, name="hours"),
    path("hours/<uuid:uuid>/correct/", hours.correct_hours, name="correct-hours"),
    path("jobs/<int:job>/days/<day:day>/", day.day, name="day"),
    path("outbox/", offline.outbox, name="outbox"),
    path("service-worker.js", offline.service_worker, name="service-worker"),
    path("my-work/", words.my_work, name="my-work"),
    path("disputes/", words.disputes, name="disputes"),
]
