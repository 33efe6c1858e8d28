"""What is kept cannot be changed, by the database's own word."""

from __future__ import annotations

from typing import ClassVar

from django.db import migrations

from levigate.records.triggers import set_up, take_away


class Migration(migrations.Migration):
    """Set the triggers up."""

    dependencies: ClassVar = [("records", "0001_first")]
    operations: ClassVar = [migrations.RunPython(set_up, take_away)]
