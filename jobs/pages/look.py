"""An organisation's accent colour as a style sheet of its own, so that no page needs inline style."""

from __future__ import annotations

from fractions import Fraction

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.templatetags.static import static
from django.views.decorators.http import require_safe

LEAST_CONTRAST = Fraction(9, 2)


@require_safe
def accent(request: HttpRequest, colour: str) -> HttpResponse:
    """`:root { --accent }` for six hexadecimal digits, darkened until white letters can be read on it."""
    sheet = HttpResponse(f":root {{ --accent: #{readable(colour)}; }}\n", content_type="text/css; charset=utf-8")
    sheet.headers["Cache-Control"] = "public, max-age=31536000, immutable"
    return sheet


@require_safe
def icon(request: HttpRequest) -> HttpResponse:
    """Where browsers ask for an icon before they have read a page: our mark."""
    return redirect(static("jobs/mark.svg"))


def readable(colour: str) -> str:
    """The colour, darkened in even steps until its contrast with white is 4.5:1 (WCAG 2.2, 1.4.3)."""
    parts = [int(colour[place : place + 2], 16) for place in (0, 2, 4)]
    while contrast_with_white(parts) < LEAST_CONTRAST:
        parts = [part * 19 // 20 for part in parts]
    return "".join(f"{part:02x}" for part in parts)


def contrast_with_white(parts: list[int]) -> float:
    """Contrast ratio of an sRGB colour with white: (1 + 0.05) / (L + 0.05), WCAG 2.2, relative luminance."""
    red, green, blue = (_linear(part / 255) for part in parts)
    return 1.05 / (0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05)


def _linear(part: float) -> float:
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
