"""The records as a Django application."""

from __future__ import annotations

from django.apps import AppConfig


class RecordsConfig(AppConfig):
    """Records of one workshop."""

    name = "levigate.records"
    label = "records"
    default_auto_field = "django.db.models.BigAutoField"
