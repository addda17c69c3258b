"""The weekly chart: labour cost per square foot, spent against budget. The only module that imports matplotlib.

Readable from a photocopy: spent is hatched, budget is white, and both say their figure. The same figures give the same
bytes.
"""

from __future__ import annotations

import io
from decimal import Decimal
from typing import Any

import matplotlib
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

SHAPE = (9.6, 3.1)
SHOWN_WEEKS = 8
STYLE: dict[str, Any] = {
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans"],
    "font.size": 8,
    "hatch.linewidth": 0.6,
    "svg.fonttype": "path",
    "svg.hashsalt": "piecewall weekly chart",
    "axes.linewidth": 0.5,
    "xtick.major.width": 0.5,
    "ytick.major.width": 0.5,
}
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def weekly_chart_svg(figures: dict[str, Any]) -> bytes:
    """Draw the chart of one report as SVG for the page. `figures` are those of `selectors.weekly.weekly_figures`."""
    with matplotlib.rc_context(STYLE):
        figure = _figure(figures)
        FigureCanvasSVG(figure)
        out = io.BytesIO()
        figure.savefig(
            out,
            format="svg",
            metadata={"Date": None, "Creator": "Piecewall", "Title": "Labour cost per square foot by week"},
        )
    return out.getvalue()


def weekly_chart_png(figures: dict[str, Any], dots_per_inch: int = 200) -> bytes:
    """Draw the same chart as PNG for the printed report."""
    with matplotlib.rc_context(STYLE):
        figure = _figure(figures)
        FigureCanvasAgg(figure)
        out = io.BytesIO()
        figure.savefig(out, format="png", dpi=dots_per_inch, metadata={"Software": None})
    return out.getvalue()


def _figure(figures: dict[str, Any]) -> Figure:
    weeks = figures["weeks"][-SHOWN_WEEKS:]
    area, symbol = figures["area_unit"], figures["currency_symbol"]
    figure = Figure(figsize=SHAPE, facecolor="white", layout="constrained")
    left, right = figure.subplots(1, 2)
    _panel(left, weeks, ("board_spent", "board_budget"), f"{symbol} per {area} of board hung, in the week")
    _panel(right, weeks, ("floor_spent", "floor_budget"), f"{symbol} per {area} of floor, to date")
    handles, labels = left.get_legend_handles_labels()
    figure.legend(
        handles, labels, loc="outside lower center", ncols=2, frameon=False, handlelength=2.6, handleheight=1.4
    )
    return figure


def _panel(axes: Axes, weeks: list[dict[str, Any]], keys: tuple[str, str], title: str) -> None:
    """One panel: two bars a week. A week without a figure (no board hung, no floor area) says "none", not zero."""
    spent, budget = ([_height(week[key]) for week in weeks] for key in keys)
    places = range(len(weeks))
    width = 0.38
    top = max([*(h for h in (*spent, *budget) if h is not None), 0.01])
    for offset, heights, label, hatch in (
        (
            -width / 2,
            spent,
            "spent, with premiums and other time",
            "/////",
        ),
        (width / 2, budget, "budget for the work done", ""),
    ):
        axes.bar(
            [p + offset for p in places],
            [h or 0 for h in heights],
            width,
            label=label,
            facecolor="white",
            edgecolor="black",
            hatch=hatch,
            linewidth=0.7,
        )
        for place, height in zip(places, heights, strict=True):
            words = f"{height:.2f}" if height is not None else "none"
            axes.text(place + offset, (height or 0) + top * 0.015, words, ha="center", va="bottom", fontsize=7.5)
    axes.set_title(title, loc="left", fontsize=8.5)
    axes.set_xticks(list(places), [_week_name(week["first_day"]) for week in weeks])
    axes.set_xlabel("workweek beginning")
    axes.set_ylim(0, top * 1.15)
    axes.set_xlim(-0.7, max(len(weeks), 3) - 0.3)
    axes.spines[["top", "right"]].set_visible(False)


def _height(printed: str | None) -> float | None:
    """A bar's height. Only the drawing is a float; the figure itself stays the printed decimal."""
    return None if printed is None else float(Decimal(printed))


def _week_name(first_day: str) -> str:
    _, month, day = first_day.split("-")
    return f"{int(day)} {MONTHS[int(month) - 1]}"
