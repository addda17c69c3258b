"""Addresses of the field's pages. Each stands in `jobs.permissions` by its name."""

from __future__ import annotations

from datetime import date

from django.urls import path, register_converter

from jobs.pages import day, entry, home, hours, job, log, look, signing, wall, words


class DayConverter:
    """A date in an address, as 2026-11-23."""

    regex = r"\d{4}-\d{2}-\d{2}"

    def to_python(self, value: str) -> date:
        return date.fromisoformat(value)

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
    path("sign-out/", signing.sign_out, name="sign-out"),
    path("organisation/", signing.choose_organisation, name="choose-organisation"),
    path("accent/<colour:colour>.css", look.accent, name="accent"),
    path("jobs/<int:job>/", job.job, name="job"),
    path("jobs/<int:job>/walls/<int:wall>/", wall.wall, name="wall"),
    path("jobs/<int:job>/log/", log.choose_wall, name="log-wall"),
    path("jobs/<int:job>/log/<int:wall>/", log.choose_unit, name="log-unit"),
    path("work-units/<int:unit>/log/", log.log_entry, name="log-entry"),
    path("entries/<uuid:uuid>/", entry.entry, name="entry"),
    path("entries/<uuid:uuid>/correct/", log.correct_entry, name="correct-entry"),
    path("jobs/<int:job>/hours/", hours.hours, name="hours"),
    path("hours/<uuid:uuid>/correct/", hours.correct_hours, name="correct-hours"),
    path("jobs/<int:job>/days/<day:day>/", day.day, name="day"),
    path("my-work/", words.my_work, name="my-work"),
    path("disputes/", words.disputes, name="disputes"),
]
