"""The numbers of the law that pay uses: each with its first day, citation, status and check, and the gaps."""

from __future__ import annotations

from dataclasses import dataclass, replace

from django.http import HttpRequest, HttpResponse

from jobs.pages.doors import Guest, answer, page
from payroll.law import Listed, ParameterValue, listing, the_book

TITLES = {
    "us-federal": "United States, federal",
    "us-california": "California",
    "ca-ontario": "Ontario",
    "ca-alberta": "Alberta",
    "ca-british-columbia": "British Columbia",
}


@dataclass(frozen=True, slots=True)
class Place:
    """A jurisdiction as the page shows it; values stand by topic."""

    title: str
    listed: Listed
    topics: tuple[tuple[str, tuple[ParameterValue, ...]], ...]


@page
def parameters(request: HttpRequest, guest: Guest) -> HttpResponse:
    """All of them, or those of `?place=us-federal&topic=minimum_wage`."""
    book = the_book()
    every = listing(book)
    places = [one.jurisdiction for one in every]
    topics = sorted({value.name for one in every for value in one.values})
    place, topic = request.GET.get("place", ""), request.GET.get("topic", "")
    wrong = []
    if place and place not in places:
        wrong.append(f"“{place[:40]}” is no place with numbers here. Choose one of the list.")
    if topic and topic not in topics:
        wrong.append(f"“{topic[:40]}” is no topic here. Choose one of the list.")
    shown = [_place(_only(one, topic)) for one in every if place in ("", one.jurisdiction)] if not wrong else []
    context = {
        "shown": [one for one in shown if one.topics or not topic],
        "places": [(one, TITLES.get(one, one)) for one in places],
        "topics": [(one, one.replace("_", " ")) for one in topics],
        "place": place,
        "topic": topic,
        "wrong": wrong,
    }
    return answer(request, guest, "payroll/parameters.html", status=400 if wrong else 200, **context)


def _only(listed: Listed, topic: str) -> Listed:
    if not topic:
        return listed
    words = topic.replace("_", " ")
    return replace(
        listed,
        values=tuple(value for value in listed.values if value.name == topic),
        rules=(),
        readings=(),
        gaps=tuple(gap for gap in listed.gaps if gap.about.startswith(words)),
    )


def _place(listed: Listed) -> Place:
    names = dict.fromkeys(value.name for value in listed.values)
    topics = tuple((name.replace("_", " "), tuple(one for one in listed.values if one.name == name)) for name in names)
    return Place(TITLES.get(listed.jurisdiction, listed.jurisdiction), listed, topics)
