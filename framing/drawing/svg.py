"""Drawings as SVG: true to scale in millimetres, black on white, the same shapes always the same bytes."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from xml.sax.saxutils import escape

from framing.drawing.lettering import MM_PER_POINT, parts
from framing.drawing.shapes import Circle, Drawing, Group, Path, Pen, Shape, Text

_FACE = "Helvetica, Arial, 'Liberation Sans', sans-serif"
# Characters that no XML 1.0 document may hold, however they are written.
_UNSPEAKABLE = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def svg(drawing: Drawing, *, is_inline: bool = False) -> str:
    """One drawing as an SVG document, or with `is_inline` as an element to stand in a page."""
    head = "" if is_inline else '<?xml version="1.0" encoding="UTF-8"?>\n'
    width, height = number(drawing.width), number(drawing.height)
    name = _plain(drawing.name)
    lines = [
        f'{head}<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}" role="img" aria-labelledby="{name}-title {name}-desc" '
        f'font-family="{_FACE}" fill="none" stroke-linecap="butt" stroke-linejoin="miter">',
        f'<title id="{name}-title">{_text(drawing.title)}</title>',
        f'<desc id="{name}-desc">{_text(drawing.told)}</desc>',
        f'<rect width="{width}" height="{height}" fill="#fff"/>',
        *_shapes(drawing.shapes),
        "</svg>\n",
    ]
    return "\n".join(lines)


def number(value: float) -> str:
    """A coordinate to 1/1000 mm without trailing zeros."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _text(words: str) -> str:
    return escape(_UNSPEAKABLE.sub("\ufffd", words))


def _plain(name: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "drawing"


def _shapes(shapes: Sequence[Shape]) -> Iterator[str]:
    for shape in shapes:
        if isinstance(shape, Group):
            yield from _group(shape)
        elif isinstance(shape, Path):
            yield _path(shape)
        elif isinstance(shape, Circle):
            yield (
                f'<circle cx="{number(shape.middle.x)}" cy="{number(shape.middle.y)}" r="{number(shape.radius)}"'
                f"{_fill(shape.fill)}{_pen(shape.pen)}/>"
            )
        else:
            yield _letters(shape)


def _group(group: Group) -> Iterator[str]:
    kind = f' class="{_plain(group.kind)}"' if group.kind else ""
    by = f' transform="translate({number(group.by.x)} {number(group.by.y)})"' if group.by.x or group.by.y else ""
    title = f"<title>{_text(group.name)}</title>" if group.name else ""
    yield f"<g{kind}{by}>{title}"
    yield from _shapes(group.shapes)
    yield "</g>"


def _path(path: Path) -> str:
    spots = [f"{number(spot.x)} {number(spot.y)}" for spot in path.spots]
    end = "Z" if path.is_closed else ""
    return f'<path d="M{"L".join(spots)}{end}"{_fill(path.fill)}{_pen(path.pen)}/>'


def _pen(pen: Pen | None) -> str:
    if pen is None:
        return ""
    dash = f' stroke-dasharray="{" ".join(number(part) for part in pen.dash)}"' if pen.dash else ""
    return f' stroke="#000" stroke-width="{number(pen.width)}"{dash}'


def _fill(fill: str) -> str:
    return {"white": ' fill="#fff"', "black": ' fill="#000"'}.get(fill, "")


def _letters(text: Text) -> str:
    size = text.size * MM_PER_POINT
    x, y = number(text.at.x), number(text.at.y)
    turn = f' transform="rotate({number(-text.turn)} {x} {y})"' if text.turn else ""
    anchor = f' text-anchor="{text.anchor}"' if text.anchor != "start" else ""
    bold = ' font-weight="bold"' if text.is_bold else ""
    colour = "#fff" if text.is_white else "#000"
    return (
        f'<text x="{x}" y="{y}" font-size="{number(size)}"{anchor}{bold}{turn} fill="{colour}" xml:space="preserve">'
        f"{''.join(_spans(text.words, size))}</text>"
    )


def _spans(words: str, size: float) -> Iterator[str]:
    """Plain letters as they are; the parts of a fraction as spans of their own size, moved up and down again."""
    height = 0.0
    for part in parts(words):
        moved = part.rise * size - height
        height += moved
        if part.size == 1.0 and not moved:
            yield _text(part.words)
            continue
        sized = f' font-size="{number(part.size * size)}"' if part.size != 1.0 else ""
        by = f' dy="{number(-moved)}"' if moved else ""
        yield f"<tspan{sized}{by}>{_text(part.words)}</tspan>"
