"""The pages as a Django application."""

from __future__ import annotations

from django.apps import AppConfig


class WebConfig(AppConfig):
    """Pages of the workshop."""

    name = "levigate.web"
    label = "web"
