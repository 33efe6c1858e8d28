"""How numbers, dates and units are said on pages: the one formatter, with the decimal mark one likes."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import template
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.html import format_html
from django.utils.safestring import SafeString

from levigate.formula.model import plain
from levigate.quantities.saying import digits

register = template.Library()
_OUNCE = 28.349523125


@register.simple_tag(takes_context=True)
def percent(context: dict[str, Any], value: Decimal) -> str:
    """Return a percent as a person writes it, without the sign."""
    return _mark(context, plain(Decimal(value)))


@register.simple_tag(takes_context=True)
def grams(context: dict[str, Any], value: Decimal | float | None, step: Decimal | None = None) -> str:
    """Return a mass with its unit: in grams to the step of a scale, or in ounces where one likes these."""
    if value is None:
        return "–"
    if _wants(context, "units") == "us":
        return f"{_mark(context, digits(float(value) / _OUNCE, 4))} oz"
    if step is not None and step > 0:
        text = f"{Decimal(value).quantize(Decimal(step).normalize()):f}" if step < 1 else f"{Decimal(value):.0f}"
    else:
        text = plain(Decimal(value).normalize()) if isinstance(value, Decimal) else digits(float(value), 4)
    return f"{_mark(context, text)} g"


@register.simple_tag(takes_context=True)
def weight(context: dict[str, Any], value: Decimal, step: Decimal) -> str:
    """Return a mass as the scale shows it, without its unit: grams, whatever one likes elsewhere."""
    shown = Decimal(value)
    rounded = shown.quantize(Decimal(step).normalize()) if step < 1 else shown.quantize(Decimal(1))
    return _mark(context, f"{shown.normalize() if rounded != shown else rounded:f}".replace("-", "−"))


@register.simple_tag
def count(value: int) -> str:
    """Return how many there are."""
    return str(int(value))


@register.simple_tag(takes_context=True)
def number(context: dict[str, Any], value: float, figures: int = 4) -> str:
    """Return a number to so many significant figures."""
    return _mark(context, digits(float(value), figures))


@register.simple_tag(takes_context=True)
def said(context: dict[str, Any], text: str) -> str:
    """Return a sentence of the library with the decimal mark one likes."""
    return _mark(context, text)


@register.filter
def drawn(value: float) -> str:
    """Return a number of a drawing: a point, never a comma, in SVG attributes."""
    return f"{float(value):.2f}"


@register.filter
def day(value: Any) -> SafeString | str:
    """Return a date, readable by people and machines."""
    if value is None:
        return "–"
    date = value.date() if hasattr(value, "date") else value
    return format_html('<time datetime="{}">{}</time>', date.isoformat(), date_format(date, "j M Y"))


@register.filter
def moment(value: Any) -> SafeString | str:
    """Return a date with its time of the day, readable by people and machines."""
    if value is None:
        return "–"
    here = timezone.localtime(value)
    return format_html(
        '<time datetime="{}">{}</time>', here.isoformat(timespec="seconds"), date_format(here, "j M Y, H:i")
    )


def _wants(context: dict[str, Any], name: str) -> str:
    return str(context.get("preferences", {}).get(name, ""))


def _mark(context: dict[str, Any], text: str) -> str:
    if _wants(context, "decimal") != "comma":
        return text
    return "".join(
        "," if one == "." and 0 < i < len(text) - 1 and text[i - 1].isdigit() and text[i + 1].isdigit() else one
        for i, one in enumerate(text)
    )
